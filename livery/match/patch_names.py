"""Which patch of the control strip a reading's name means."""

from __future__ import annotations

import re
from dataclasses import dataclass

from livery.scheme.model import Palette

_SHEET = re.compile(r"[\s_,;-]*(?:#|\bsheet[\s_-]*)(\w+)\s*$", re.IGNORECASE)
_PLACE = re.compile(r"\s*@\s*(\w[\w .-]*?)\s*$")
_TINT = re.compile(r"^(.*?)[\s_-]*(\d{1,3})\s*(?:%|percent)?$", re.IGNORECASE)
_SOLID = re.compile(r"[\s_-]*(?:solid|full\s+tone)$", re.IGNORECASE)
LONGEST_NAME = 200
"""Characters of a sample's name that is looked at for an ink. Source: workshop-choice."""

_STOCK = ("stock", "paper", "substrate", "bare stock", "white")


@dataclass(frozen=True, slots=True)
class PatchName:
    """A name taken apart; ``sheet`` and ``place`` are "" where it does not say."""

    inks: tuple[str, ...]
    tint: float
    sheet: str = ""
    place: str = ""


def parse_patch(name: str, palette: Palette) -> PatchName | None:
    """Read ``Tarn 50 % @left #3``: ink, tint, place, sheet. None where no ink is named.

    An ink goes by its key or name; ``Ember on Tarn`` is an overprint, ``Stock`` bare stock. A
    name without a tint is a solid.
    """
    rest, sheet, place = name.strip(), "", ""
    if len(rest) > LONGEST_NAME:
        return None
    if found := _SHEET.search(rest):
        sheet, rest = found[1], rest[: found.start()].strip()
    if found := _PLACE.search(rest):
        place, rest = found[1], rest[: found.start()].strip()
    known = {word.casefold(): ink.key for ink in palette.inks for word in (ink.name, ink.key)}
    word = rest.casefold()
    if word not in known and word in _STOCK:
        return PatchName((), 0.0, sheet, place)
    if word not in known and " on " in word:
        upper, _, lower = word.partition(" on ")
        over = [known.get(_SOLID.sub("", part).strip()) for part in (lower, upper)]
        if over[0] and over[1]:
            return PatchName((over[0], over[1]), 1.0, sheet, place)
        return None
    tint = 1.0
    if word not in known:
        word = _SOLID.sub("", word)
        if word not in known and (found := _TINT.match(word)):
            word, tint = found[1].strip(), int(found[2]) / 100.0
    if word not in known or not 0.0 < tint <= 1.0:
        return None
    return PatchName((known[word],), tint, sheet, place)
