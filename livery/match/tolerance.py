"""Which tolerance binds a pair, and by what names an item answers to it."""

from __future__ import annotations

from collections.abc import Mapping

from livery.match.model import AIM, REFERENCE, Titles
from livery.scheme.model import ItemKind, Palette, Scheme, Tolerances

Names = Mapping[tuple[str, str], frozenset[str]]
"""(Item, ink) to every name the item answers to: its key, its kind, the ink's material."""

_PLURALS = {ItemKind.BAT: "bats", ItemKind.GLOVE: "gloves", ItemKind.PAD: "pads"}


def item_names(scheme: Scheme) -> Names:
    """Names of a season's items, however a photograph calls them.

    A bat's inks are on the print profile's stock; a panel's ink is on the panel's material.
    """
    found: dict[tuple[str, str], set[str]] = {}

    def add(key: str, kind: ItemKind, ink: str, material: str) -> None:
        spellings = (key, kind.value, _PLURALS[kind])
        for spelling in spellings:
            found.setdefault((spelling, ink), set()).update({*spellings, material})

    for ink in scheme.palette.inks:
        for bat in scheme.bats:
            add(bat.key, ItemKind.BAT, ink.key, scheme.profile.stock)
        for soft in scheme.soft_kit:
            materials = [panel.material for panel in soft.panels if panel.ink == ink.key]
            for material in materials or [scheme.profile.stock]:
                add(soft.key, soft.kind, ink.key, material)
    for extra in scheme.extras:
        for ink_key in extra.inks:
            for spelling in (extra.key, extra.kind):
                answers = {extra.key, extra.kind, extra.material}
                found.setdefault((spelling, ink_key), set()).update(answers)
    return {key: frozenset(names) for key, names in found.items()}


def choose_tolerance(
    ink: str,
    a: str,
    b: str,
    palette: Palette,
    tolerances: Tolerances,
    names: Names,
    titles: Titles | None = None,
) -> tuple[float, str]:
    """The tolerance of a pair and whose it is.

    Args:
        ink: ink key.
        a: item name, ``aim`` or ``reference``.
        b: item name.
        palette: inks with their own tolerances.
        tolerances: the season's, whose pairs outrank an ink's own.
        names: what items answer to.
        titles: what to call items in the words.

    Returns:
        ΔE00 and words such as ``between bat and glove``.
    """
    if a not in (AIM, REFERENCE):
        sides = [names.get((item, ink), frozenset()) | {item} for item in (a, b)]
        for pair in tolerances.pairs:
            one, other = pair.between
            fits = (one in sides[0] and other in sides[1]) or (
                other in sides[0] and one in sides[1]
            )
            if fits and pair.ink in ("", ink):
                told = (titles or {}).get
                return pair.tolerance_de00, f"between {told(one, one)} and {told(other, other)}"
    finishes = dict(tolerances.finishes)
    if ink in palette.keys:
        finish = palette.ink(ink).finish
        if finish in finishes and ink not in dict(tolerances.inks):
            return finishes[finish], f"of {finish} inks"
        return palette.ink(ink).tolerance_de00, f"of {palette.ink(ink).name}"
    return dict(tolerances.inks).get(ink, tolerances.default), "by default"
