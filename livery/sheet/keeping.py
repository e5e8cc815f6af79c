"""Placements kept in a file, so that a rerun prints the very same sheets.

They are kept by silhouette: another name on a strip of the same outline takes the same place.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping, Sequence

from livery.errors import Fault, InputError
from livery.sheet.silhouette import Spot

_FORMAT = 3


def request_digest(counts: Mapping[str, int], rules: Sequence[object]) -> str:
    """SHA-256 of what a nesting was asked to place.

    Args:
        counts: how many of each silhouette, by key.
        rules: room, spacing and options that bear on placement.
    """
    text = json.dumps([sorted(counts.items()), list(rules)], separators=(",", ":"))
    return _digest(text)


def keep_placements(sheets: Sequence[Sequence[Spot]], request: str) -> str:
    """Placements as JSON text, for a later run that asks for the same silhouettes."""
    keys = sorted({spot.key for spots in sheets for spot in spots})
    number = {key: n for n, key in enumerate(keys)}
    content = {
        "format": _FORMAT,
        "request": request,
        "silhouettes": [_digest(key) for key in keys],
        "sheets": [
            [[number[s.key], s.x_mm, s.y_mm, s.turn_deg] for s in spots] for spots in sheets
        ],
    }
    return json.dumps(content, indent=1) + "\n"


def recall_placements(text: str, request: str, keys: Iterable[str]) -> list[list[Spot]] | None:
    """Spots a sheet from kept placements; None when they were kept for something else.

    Args:
        text: what ``keep_placements`` gave.
        request: digest of what is asked now.
        keys: of the silhouettes asked for.

    Raises:
        InputError: the text is no such file.
    """
    known = {_digest(key): key for key in keys}
    try:
        content = json.loads(text)
        if content["format"] != _FORMAT or content["request"] != request:
            return None
        named = [known[digest] for digest in content["silhouettes"]]
        return [[_spot(entry, named) for entry in spots] for spots in content["sheets"]]
    except (ValueError, LookupError, TypeError, OverflowError, RecursionError) as error:
        fault = Fault(
            "sheets/placements.json",
            "",
            None,
            f"not a file of kept placements ({error})",
            "Delete it; the sheets are then nested anew.",
        )
        raise InputError(fault) from error


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _spot(entry: Sequence[object], keys: Sequence[str]) -> Spot:
    number, *place = entry
    if not isinstance(number, int) or number < 0 or len(place) != 3:
        raise ValueError("a spot needs its silhouette's number, x, y and turn")
    x, y, turn = (float(value) for value in place)  # type: ignore[arg-type] # refused if none
    if not all(map(math.isfinite, (x, y, turn))):
        raise ValueError("a number is not finite")
    return Spot(keys[number], x, y, turn)
