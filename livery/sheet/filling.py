"""Sheets filled: seated in a few orders, then made fewer, and on a roll shorter."""

from __future__ import annotations

from collections.abc import Sequence

from livery.sheet.compaction import Workshop, height_of, shorten
from livery.sheet.emptying import empty_last
from livery.sheet.model import Watch, unwatched
from livery.sheet.nesting import MANY, ORDERS, nest
from livery.sheet.silhouette import Room, Silhouette, Spot

_EVERY_ORDER_UP_TO = 150
_LOOKS = 90_000_000
_ROLL_TIMES, _LOOKS_A_PAIR = 2, 3_400
_LEAST_LOOKS, _MOST_LOOKS = 100_000, 3_000_000

Wanted = Sequence[tuple[Silhouette, int]]


def fill_sheets(
    wanted: Wanted, room: Room, *, roll: bool, effort: int = 1, watch: Watch = unwatched
) -> list[list[Spot]]:
    """Nest silhouettes on as few sheets as the work allows.

    The work is counted, never timed, so the result is the same on every machine. It is most for
    a few dozen copies: fewer have less to find, and more leave less to each.

    Args:
        wanted: silhouettes with how many of each; each fits the room.
        room: the sheets' usable area.
        roll: whether what is left of a sheet's height stays on the roll, so that short is good.
        effort: times the usual work.
        watch: told of progress.

    Source: amounts of work [source: workshop-choice].
    """
    sheets = seat(wanted, room, watch, roll=roll)
    copies = sum(count for _, count in wanted)
    looks = min(max(_LOOKS // copies, _LEAST_LOOKS), _MOST_LOOKS, _LOOKS_A_PAIR * copies**2)
    looks *= effort * (_ROLL_TIMES if roll else 1)
    shop = Workshop({piece.key: piece for piece, _ in wanted}, room, looks)
    watch("tightening", 0, 2)
    sheets = empty_last(sheets, shop, shop.looks // (4 if roll else 2), effort)
    watch("tightening", 1, 2)
    if roll:
        last = min(range(len(sheets)), key=lambda n: (height_of(sheets[n], shop.pieces), -n))
        sheets[last] = shorten(sheets[last], shop, shop.looks)
    watch("tightening", 2, 2)
    return sheets


def seat(
    wanted: Wanted, room: Room, watch: Watch = unwatched, *, roll: bool = False
) -> list[list[Spot]]:
    """The fewest sheets, then the lowest last one, of a few orders of seating."""
    few = sum(count for _, count in wanted) <= _EVERY_ORDER_UP_TO
    tiled = roll and any(count >= MANY for _, count in wanted)
    orders = ORDERS if few else ORDERS[: 0 if tiled else 1]
    tried = [nest(wanted, room, order, watch) for order in orders]
    if tiled:
        tried.append(nest(wanted, room, watch=watch, roll=True))
    pieces = {piece.key: piece for piece, _ in wanted}
    return min(tried, key=lambda sheets: (len(sheets), round(height_of(sheets[-1], pieces), 3)))
