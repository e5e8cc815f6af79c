"""One item's layout out of a season: what a photograph is said to show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from livery.errors import Fault, SeasonError
from livery.placement import Layout, lay_out
from livery.scheme import load_season
from livery.scheme.model import Hand, Order, Scheme


@dataclass(frozen=True, slots=True)
class Choice:
    """What is in the picture.

    Attributes:
        season: its file.
        item: key of a bat, or a pair of gloves or pads; "" for the season's only bat.
        size: one of its sizes; "" for the season's master size, or the order's.
        hand: the batter's; "" for right, or the order's.
        order: key of the order whose words it bears, or "".
        side: of a glove or pad.
    """

    season: Path
    item: str = ""
    size: str = ""
    hand: str = ""
    order: str = ""
    side: str = "right"


def choose_layout(choice: Choice) -> tuple[Scheme, Layout]:
    """The season, and the layout of what was named.

    Raises:
        SeasonError: the season cannot be read, or it has no such item, size, hand or order.
        ArtworkError: artwork that cannot be used.
    """
    scheme = load_season(choice.season)
    order = _order(scheme, choice)
    key = _item(scheme, choice, order)
    narrow = replace(
        scheme,
        bats=tuple(bat for bat in scheme.bats if bat.key == key),
        soft_kit=tuple(soft for soft in scheme.soft_kit if soft.key == key),
        orders=() if order is None else (_only(order, key),),
    )
    size = _size(narrow, choice, order, key)
    hand = _hand(choice, order)
    wanted = "" if order is None else order.key
    for layout in lay_out(narrow):
        item = layout.item
        same = (item.key, item.size, item.hand) == (key, size, hand)
        if same and layout.order == wanted and item.side in ("", choice.side):
            return scheme, layout
    raise _wrong(choice, "--side", choice.side, ("left", "right"))


def _order(scheme: Scheme, choice: Choice) -> Order | None:
    if not choice.order:
        return None
    order = scheme.order(choice.order)
    if order is not None:
        return order
    raise _wrong(choice, "--order", choice.order, [order.key for order in scheme.orders])


def _item(scheme: Scheme, choice: Choice, order: Order | None) -> str:
    known = [one.key for one in scheme.models]
    if order is not None:
        known = [key for key in known if key in dict(order.items)]
    if choice.item in known:
        return choice.item
    bats = [bat.key for bat in scheme.bats if bat.key in known]
    if not choice.item and len(bats) == 1:
        return bats[0]
    raise _wrong(choice, "--item", choice.item, known)


def _size(scheme: Scheme, choice: Choice, order: Order | None, key: str) -> str:
    model = scheme.models[0]
    known = model.sizes if order is None else tuple(size for k, size in order.items if k == key)
    if choice.size in known:
        return choice.size
    if not choice.size:
        return scheme.master_size if scheme.master_size in known else known[0]
    raise _wrong(choice, "--size", choice.size, known)


def _hand(choice: Choice, order: Order | None) -> Hand:
    if not choice.hand:
        return Hand.RIGHT if order is None else order.hand
    known = tuple(Hand) if order is None else (order.hand,)
    for hand in known:
        if hand == choice.hand:
            return hand
    raise _wrong(choice, "--hand", choice.hand, known)


def _only(order: Order, key: str) -> Order:
    return replace(order, items=tuple(pair for pair in order.items if pair[0] == key))


def _wrong(choice: Choice, option: str, given: str, known: Sequence[str]) -> SeasonError:
    found = f"{given!r} is not in the season" if given else "it must be named"
    return SeasonError(
        Fault(str(choice.season), option, None, found, f"Use one of {', '.join(known)}")
    )
