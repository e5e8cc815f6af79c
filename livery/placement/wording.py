"""The words that an order, or the range, puts on its decals, and what is blank for want of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from livery.artwork.lettering import blank_slots
from livery.artwork.model import Decal
from livery.kit.model import KitItem
from livery.limits import Finding, Severity
from livery.scheme import size_name
from livery.scheme.model import DecalSpec, Hand, Order, Role, Scheme
from livery.units import format_lb_oz

_SPECIMEN_WEIGHT = "2 lb 9 oz"  # an ordinary adult weight [source: common-practice]
_SOURCE = "the season's orders"


def words_of(order: Order, item: KitItem) -> dict[str, str]:
    """An order's words for variable text."""
    return {
        "player": order.player,
        "size": size_name(item.kind, item.size),
        "weight": "" if order.weight_g is None else format_lb_oz(order.weight_g),
        "model": item.name,
        "number": order.number,
        "hand": str(order.hand),
    }


def specimen_words(scheme: Scheme, item: KitItem) -> dict[str, str]:
    """Words for the range: the season's longest name and number, so that the worst is checked."""
    name = max((order.player for order in scheme.orders), key=len, default="")
    number = max((order.number for order in scheme.orders), key=len, default="")
    order = Order("", name or "Player's Name", Hand(item.hand), (), number=number or "00")
    return {**words_of(order, item), "weight": _SPECIMEN_WEIGHT}


def bears_something(decal: Decal) -> bool:
    """Whether anything of a decal is worth printing: of lettering, its words."""
    blank = bool(decal.texts) and not any(text for _, text in decal.texts)
    return bool(decal.regions) and not (blank and decal.role == Role.LETTERING)


def note_blanks(spec: DecalSpec, decal: Decal, words: Mapping[str, str]) -> Iterator[Finding]:
    """What of a decal's text an order's missing words leave blank, once a field."""
    blanks = [(name, slots) for name, text in spec.text if (slots := blank_slots(text, words))]
    left_off = "" if bears_something(decal) else ", and the decal is left off"
    for field in dict.fromkeys(slot for _, slots in blanks for slot in slots):
        where = " and ".join(f"text.{name}" for name, slots in blanks if field in slots)
        text = (
            f"Decal {spec.name}: the order has no {field}, so {where} lacks it{left_off}; "
            f"add {field} to the order, or take {{{field}}} out of the decal"
        )
        yield Finding(
            "order/words",
            Severity.ADVICE,
            f"{spec.name}, without a {field}",
            1.0,
            0.0,
            -1.0,
            "words",
            _SOURCE,
            text,
            False,
        )
