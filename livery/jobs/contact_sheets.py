"""Each sheet in small with its decals numbered, to pick from and to tick off."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from livery.artwork.model import Decal
from livery.drawing import (
    Anchor,
    Element,
    Label,
    Shape,
    Stroke,
    Symbol,
    Use,
)
from livery.geometry import Affine, Path
from livery.placement import decal_symbol
from livery.proof.setting import (
    INK,
    MARGIN_MM,
    PAGE_MM,
    PAPER,
    SOFT,
    Column,
    Flow,
    filled_box,
    table_height,
)
from livery.scheme.model import Palette
from livery.sheet import Sheet, SheetDecal, SheetItem, SheetRun, describe_print

_HEIGHTS_MM = (105.0, 150.0)  # of a picture; lower where its table then fits the page
_LINE_MM = 0.3
_AROUND_MM = 2.5
_SIZE_PT = 6.0
_COLUMNS = (
    Column("no.", 10.0, Anchor.END),
    Column("decal", 40.0),
    Column("order", 24.0),
    Column("placement", 46.0),
    Column("as printed", 60.0),
)
SPARE = "spare"


def contact_symbols(run: SheetRun) -> tuple[Symbol, ...]:
    """Each decal as contact sheets show it: cut out, in its inks' aims, in its cut line."""
    decals = {one.decal.key: one.decal for one in run.decals}
    return tuple(_symbol(decal, run.palette) for decal in decals.values())


def _symbol(decal: Decal, palette: Palette) -> Symbol:
    line = Shape(decal.outline, stroke=Stroke(SOFT, _LINE_MM))
    return Symbol(decal.key, (*decal_symbol(decal, palette).elements, line))


def contact_pages(sheet: Sheet, decals: Mapping[str, SheetDecal]) -> list[list[Element]]:
    """One sheet in small with its decals numbered, then what each number is.

    Args:
        sheet: the sheet.
        decals: by key, at least those that it holds; each is drawn by the symbol of its key.
    """
    flow = Flow(PAGE_MM[1] - MARGIN_MM, MARGIN_MM + 6.0)
    flow.heading(f"Sheet {sheet.number} of {sheet.of}", INK)
    rows = [_row(number, item, decals[item.decal]) for number, item in enumerate(sheet.items, 1)]
    free = flow.y - 2.0 * _AROUND_MM - flow.bottom_mm - table_height(_COLUMNS, rows, _SIZE_PT)
    low, high = _HEIGHTS_MM
    height = min(free, high) if free >= low else high
    scale = min((PAGE_MM[0] - 2 * MARGIN_MM) / sheet.width_mm, height / sheet.height_mm)
    x = (PAGE_MM[0] - scale * sheet.width_mm) / 2.0
    y = flow.y - _AROUND_MM - scale * sheet.height_mm
    small = Affine.translation(x, y) @ Affine.scaling(scale)
    edge = Path.rectangle(0.0, 0.0, sheet.width_mm, sheet.height_mm).transformed(small)
    flow.add(Shape(edge, stroke=Stroke(SOFT, _LINE_MM)))
    flow.add(*(Use(decals[one.decal].decal.key, small @ one.affine) for one in sheet.items))
    for number, item in enumerate(sheet.items, start=1):
        ((across, up),) = (small @ item.affine).apply(_middle(decals[item.decal].decal.outline))
        flow.add(*_number(number, across, up))
    flow.y = y - _AROUND_MM
    flow.table(_COLUMNS, rows, _SIZE_PT)
    return flow.pages


@lru_cache(maxsize=1024)
def _middle(outline: Path) -> NDArray[np.float64]:
    """The middle of an outline's box, shape (1, 2)."""
    x0, y0, x1, y1 = outline.bounds()
    return np.array([((x0 + x1) / 2.0, (y0 + y1) / 2.0)])


def _row(number: int, item: SheetItem, decal: SheetDecal) -> tuple[str, ...]:
    order = item.order or SPARE
    return (str(number), decal.decal.name, order, item.placement, describe_print(decal))


def _number(number: int, x: float, y: float) -> tuple[Element, ...]:
    half = 1.5 + 0.7 * len(str(number))
    box = filled_box(x - half, y - 1.6, x + half, y + 1.6, PAPER, INK)
    return (box, Label(str(number), x, y - 0.9, 6.0, INK, Anchor.MIDDLE, 0.0, "text-bold"))
