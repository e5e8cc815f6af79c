"""The content hash: SHA-256 over everything that decides what prints, and nothing else."""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Sequence

import numpy as np

from livery.geometry import Path
from livery.scheme.model import Ink, Palette, PrintProfile
from livery.sheet.model import Sheet, SheetDecal

_DIGITS = 4
_MONEY = ("price_", "currency")


def hash_content(
    sheets: Sequence[Sheet],
    decals: Sequence[SheetDecal],
    palette: Palette,
    profile: PrintProfile,
    facts: Sequence[str],
) -> str:
    """Hash what prints.

    Numbers are rounded to 0.0001 (mm, or of a colour's coordinate), so that the last bit of a
    machine's arithmetic cannot change the hash; keys are sorted; text is UTF-8.

    Args:
        sheets: with the places of all items.
        decals: every distinct print.
        palette: only inks that print count.
        profile: all of it but prices.
        facts: words printed in the slug: season, workshop, revision, date.

    Returns:
        64 hexadecimal digits.
    """
    used = {key for decal in decals for key in decal.decal.inks}
    content = {
        "facts": list(facts),
        "inks": [_ink(ink) for ink in palette.inks if ink.key in used],
        "profile": _plain(dataclasses.asdict(profile)),
        "decals": [_decal(decal) for decal in decals],
        "sheets": [_sheet(sheet) for sheet in sheets],
    }
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _round(value: float) -> float:
    return round(float(value), _DIGITS) + 0.0


def _plain(values: dict[str, object]) -> dict[str, object]:
    prints = {key: value for key, value in values.items() if not key.startswith(_MONEY)}
    return {key: _steady(value) for key, value in prints.items()}


def _steady(value: object) -> object:
    """A value as it is hashed: a number rounded, a file by its SHA-256."""
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    return _round(value) if isinstance(value, float) else value


def _ink(ink: Ink) -> list[object]:
    return [
        ink.key,
        ink.name,
        [_round(value) for value in ink.lab],
        str(ink.finish),
        str(ink.prints),
    ]


def _decal(decal: SheetDecal) -> list[object]:
    artwork = decal.decal
    regions = [[region.ink, _path(region.path)] for region in artwork.regions]
    outline = _path(artwork.outline)
    return [decal.key, _round(decal.scale), decal.mirrored, outline, regions]


def _path(path: Path) -> str:
    """SHA-256 of a path's commands, fill rule and points in whole steps of the last digit."""
    steps = np.rint(path.points * 10**_DIGITS).astype("<i8")
    return hashlib.sha256(f"{path.verbs} {path.rule} ".encode() + steps.tobytes()).hexdigest()


def _sheet(sheet: Sheet) -> list[object]:
    items = [
        [item.decal, item.order, item.placement, [_round(n) for n in item.affine.coefficients]]
        for item in sheet.items
    ]
    return [sheet.number, _round(sheet.width_mm), _round(sheet.height_mm), items]
