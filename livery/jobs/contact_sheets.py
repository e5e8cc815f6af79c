"""Each sheet in small with its decals numbered, to pick from and to tick off."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from livery.artwork.model import Decal
from livery.drawing import (
    Anchor,
    Drawing,
    Element,
    Label,
    LabPaint,
    Layer,
    LayerKind,
    Page,
    Picture,
    Shape,
    Stroke,
    Symbol,
    Use,
)
from livery.geometry import Path
from livery.output import render_png
from livery.proof.setting import INK, MARGIN_MM, PAGE_MM, PAPER, SOFT, Column, Flow, filled_box
from livery.scheme.model import Palette
from livery.sheet import Sheet, SheetDecal, SheetItem, SheetRun, describe_print

_PX_PER_MM = 3.0
_HEIGHT_MM = 150.0
_LINE_MM = 0.3
SPARE = "spare"


def contact_picture(run: SheetRun, sheet: Sheet) -> bytes:
    """A sheet in small: its edge and its decals in their inks' aims, each in its cut line."""
    used = {item.decal for item in sheet.items}
    symbols = [_symbol(one.decal, run.palette) for one in run.decals if one.key in used]
    keys = {one.key: one.decal.key for one in run.decals}
    edge = Path.rectangle(0.0, 0.0, sheet.width_mm, sheet.height_mm)
    elements: list[Element] = [Shape(edge, stroke=Stroke(SOFT, 3.0 * _LINE_MM))]
    elements += [Use(keys[item.decal], item.affine) for item in sheet.items]
    layer = Layer("decals", LayerKind.INFORMATION, tuple(elements))
    page = Page(sheet.width_mm, sheet.height_mm, (layer,))
    distinct = tuple({symbol.key: symbol for symbol in symbols}.values())
    scale = _scale(sheet.width_mm, sheet.height_mm)
    return render_png(Drawing("", (page,), distinct), px_per_mm=_PX_PER_MM * scale)


@lru_cache(maxsize=64)
def _symbol(decal: Decal, palette: Palette) -> Symbol:
    shapes = [Shape(region.path, LabPaint(palette.ink(region.ink).lab)) for region in decal.regions]
    return Symbol(decal.key, (*shapes, Shape(decal.outline, stroke=Stroke(SOFT, _LINE_MM))))


def _scale(width_mm: float, height_mm: float) -> float:
    return min((PAGE_MM[0] - 2 * MARGIN_MM) / width_mm, _HEIGHT_MM / height_mm)


def contact_pages(
    sheet: Sheet, decals: Mapping[str, SheetDecal], png: bytes
) -> list[list[Element]]:
    """One sheet in small with its decals numbered, then what each number is.

    Args:
        sheet: the sheet.
        decals: by key, at least those that it holds.
        png: its picture.
    """
    flow = Flow(PAGE_MM[1] - MARGIN_MM, MARGIN_MM + 6.0)
    flow.heading(f"Sheet {sheet.number} of {sheet.of}", INK)
    scale = _scale(sheet.width_mm, sheet.height_mm)
    x = (PAGE_MM[0] - scale * sheet.width_mm) / 2.0
    y = flow.y - 2.0 - scale * sheet.height_mm
    size = (scale * sheet.width_mm, scale * sheet.height_mm)
    flow.add(Picture(png, x, y, *size, f"sheet {sheet.number} in small"))
    for number, item in enumerate(sheet.items, start=1):
        ((across, up),) = item.affine.apply(_middle(decals[item.decal].decal.outline))
        flow.add(*_number(number, x + scale * across, y + scale * up))
    flow.y = y - 3.0
    rows = [_row(number, item, decals[item.decal]) for number, item in enumerate(sheet.items, 1)]
    columns = (
        Column("no.", 10.0, Anchor.END),
        Column("decal", 40.0),
        Column("order", 24.0),
        Column("placement", 46.0),
        Column("as printed", 60.0),
    )
    flow.table(columns, rows, 6.0)
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
