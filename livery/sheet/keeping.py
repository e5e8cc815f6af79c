"""Placements kept in a file, so that a rerun prints the very same sheets."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Sequence

from livery.errors import Fault, InputError
from livery.geometry import Affine
from livery.sheet.model import Sheet, SheetItem, SheetRun
from livery.sheet.tally import Copy

_FORMAT = 2


def request_digest(copies: Sequence[Copy], shapes: Sequence[str], rules: Sequence[object]) -> str:
    """SHA-256 of what a nesting was asked to place.

    Args:
        copies: every decal wanted, in order.
        shapes: silhouette key of each distinct decal.
        rules: room, spacing and options that bear on placement.
    """
    asked = [[c.decal, c.order, c.placement, c.kit] for c in copies]
    text = json.dumps([asked, list(shapes), list(rules)], separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def keep_placements(run: SheetRun) -> str:
    """A run's placements as JSON text, for a later run with the same orders."""
    sheets = [
        [[i.decal, i.order, i.placement, list(i.affine.coefficients), i.kit] for i in sheet.items]
        for sheet in run.sheets
    ]
    content = {"format": _FORMAT, "request": run.request, "sheets": sheets}
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def recall_placements(
    text: str, request: str, size_mm: tuple[float, float]
) -> tuple[Sheet, ...] | None:
    """Sheets from kept placements; None when they were kept for other orders or stock.

    Args:
        text: what ``keep_placements`` gave.
        request: digest of what is asked now.
        size_mm: of the stock.

    Raises:
        InputError: the text is no such file.
    """
    try:
        content = json.loads(text)
        if content["format"] != _FORMAT:
            raise ValueError(f"format {content['format']!r}")
        if content["request"] != request:
            return None
        sheets = [[_item(entry) for entry in items] for items in content["sheets"]]
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError) as error:
        fault = Fault(
            "sheets/placements.json",
            "",
            None,
            f"not a file of kept placements ({error})",
            "Delete it; the sheets are then nested anew.",
        )
        raise InputError(fault) from error
    return tuple(
        Sheet(number, len(sheets), *size_mm, tuple(items))
        for number, items in enumerate(sheets, start=1)
    )


def _item(entry: Sequence[object]) -> SheetItem:
    decal, order, placement, numbers, kit = entry
    if not isinstance(numbers, list) or len(numbers) != 6:
        raise ValueError("an item needs six numbers")
    affine = Affine(*(float(n) for n in numbers))
    if not all(map(math.isfinite, affine.coefficients)):
        raise ValueError("a number is not finite")
    return SheetItem(str(decal), affine, str(order), str(placement), str(kit))
