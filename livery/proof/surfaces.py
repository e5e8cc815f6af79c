"""Surface pages: each decorated surface laid flat at a stated scale, its decals dimensioned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from livery.artwork.typesetting import fit_line, spread
from livery.drawing import Anchor, Element, Label, LabPaint, Paint, Shape, Stroke
from livery.geometry import Affine, Path
from livery.kit.drawing_style import DrawingStyle, on_page, place_on_page
from livery.kit.model import Surface
from livery.kit.surface_drawing import (
    draw_surface,
    draw_zone_names,
    draw_zones,
    surface_fill,
)
from livery.placement.drawing import use_decal
from livery.placement.model import Layout, Placement
from livery.proof.pictures import choose_scale, ink_fills, scale_words
from livery.proof.setting import INK, MARGIN_MM, PAGE_MM, SOFT, Column, Flow, table_height
from livery.scheme.model import Palette

_TOP, _BOTTOM = 274.0, 17.0
_LEFT, _RIGHT = 34.0, 40.0  # beside a surface, for heights and for names (workshop choice)
_NAME_MM = 8.0  # beneath a surface, for its name (workshop choice)
_TABLE_PT = 7.0
_APART = 3.1  # least distance of two notes, mm (workshop choice)
_STYLE = DrawingStyle(line_mm=0.2, fine_mm=0.1)

Box = tuple[float, float, float, float]

COLUMNS = (
    Column("No.", 9),
    Column("Decal", 46),
    Column("Width × height", 28),
    Column("Top edge at", 22, Anchor.END),
    Column("Middle at", 22, Anchor.END),
    Column("Foot at", 20, Anchor.END),
    Column("Across", 17, Anchor.END),
    Column("Scale", 16, Anchor.END),
)


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """A surface with the placements on it, in order from the datum.

    Attributes:
        first: number of its first placement on its page.
    """

    layout: Layout
    surface: Surface
    placements: tuple[Placement, ...]
    first: int = 1


def decorated_surfaces(layout: Layout) -> tuple[Laid, ...]:
    """The item's surfaces that bear decals."""
    found = []
    for surface in layout.item.surfaces:
        own = [p for p in layout.placements if p.surface == surface.key]
        own.sort(key=lambda p: (p.box[1], p.key))
        if own:
            found.append(Laid(layout, surface, tuple(own)))
    return tuple(found)


def group_surfaces(layouts: Sequence[Layout]) -> list[tuple[Laid, ...]]:
    """Surfaces page by page: face and back alone, edges together, the two of a pair together."""
    pages: list[tuple[Laid, ...]] = []
    waiting: dict[tuple[str, str, str], list[Laid]] = {}
    for layout in layouts:
        for laid in decorated_surfaces(layout):
            kind = laid.surface.key.partition("-")[0] if not layout.item.side else laid.surface.key
            key = (layout.item.key, layout.item.size, kind)
            waiting.setdefault(key, []).append(laid)
    for group in waiting.values():
        pages += [_counted(group[start : start + 2]) for start in range(0, len(group), 2)]
    return pages


def _counted(group: Sequence[Laid]) -> tuple[Laid, ...]:
    """Surfaces of one page, each numbered on from the one before."""
    counted, first = [], 1
    for laid in group:
        counted.append(replace(laid, first=first))
        first += len(laid.placements)
    return tuple(counted)


def draw_surfaces(group: Sequence[Laid], palette: Palette, accent: LabPaint) -> list[Element]:
    """One page: up to two surfaces over a table of their placements."""
    rows = [
        _table_row(laid.first + index, placement)
        for laid in group
        for index, placement in enumerate(laid.placements)
    ]
    flow = Flow(_BOTTOM + table_height(COLUMNS, rows, _TABLE_PT), 0.0)
    cells, scale = _cells(group, flow.y + 2.0)
    elements: list[Element] = [
        fit_line(_page_title(group), MARGIN_MM, _TOP, 13.0, 145.0, "display", accent),
        Label(f"Scale {scale_words(scale)}", PAGE_MM[0] - MARGIN_MM, _TOP, 9.0, SOFT, Anchor.END),
    ]
    for laid, cell in zip(group, cells, strict=True):
        elements += _panel(laid, cell, scale, palette, accent)
    flow.table(COLUMNS, rows, _TABLE_PT)
    return [*elements, *flow.pages[0]]


def _cells(group: Sequence[Laid], foot: float) -> tuple[list[Box], float]:
    """A cell for each surface, side by side or one above the other, and the larger scale."""
    boxes = [laid.surface.outline.bounds for laid in group]
    wide, tall = max(b[2] - b[0] for b in boxes), max(b[3] - b[1] for b in boxes)
    x0, x1, top, count = MARGIN_MM, PAGE_MM[0] - MARGIN_MM, _TOP - 6.0, len(group)
    across, down = (x1 - x0) / count, (top - foot) / count
    beside = [(x0 + i * across, foot, x0 + (i + 1) * across, top) for i in range(count)]
    above = [(x0, top - (i + 1) * down, x1, top - i * down) for i in range(count)]
    scales = [
        choose_scale(wide, tall, (c[2] - c[0] - _LEFT - _RIGHT, c[3] - c[1] - _NAME_MM))
        for c in (beside[0], above[0])
    ]
    return (beside, scales[0]) if scales[0] <= scales[1] else (above, scales[1])


def _page_title(group: Sequence[Laid]) -> str:
    names = " and ".join(dict.fromkeys(laid.surface.name for laid in group))
    item = group[0].layout.item
    sides = " and ".join(dict.fromkeys(laid.layout.item.side for laid in group if item.side))
    return f"{names}  ·  {item.name}, {item.size.replace('-', ' ')}{', ' if sides else ''}{sides}"


def _table_row(number: int, placement: Placement) -> list[str]:
    x0, y0, x1, y1 = placement.box
    across = (x0 + x1) / 2
    side = (
        "centre" if abs(across) < 0.05 else f"{abs(across):.1f} {'right' if across > 0 else 'left'}"
    )
    words = " / ".join(text for _, text in placement.decal.texts if text)
    name = placement.decal.name + (f" “{words}”" if words else "")
    mirrored = ", mirrored" if placement.mirrored else ""
    return [
        str(number),
        f"{name}{mirrored}",
        f"{x1 - x0:.1f} × {y1 - y0:.1f} mm",
        f"{y0:z.1f} mm",
        f"{(y0 + y1) / 2:z.1f} mm",
        f"{y1:z.1f} mm",
        side,
        f"{placement.scale * 100:.1f} %",
    ]


def _panel(
    laid: Laid, cell: Box, scale: float, palette: Palette, accent: LabPaint
) -> list[Element]:
    x0, y0, x1, y1 = laid.surface.outline.bounds
    middle = (cell[0] + _LEFT + cell[2] - _RIGHT) / 2
    top = cell[3] - max(0.0, (cell[3] - cell[1] - _NAME_MM - (y1 - y0) / scale) / 2)
    place = place_on_page(middle - (x0 + x1) / 2 / scale, top + y0 / scale, 1.0 / scale)
    fill = surface_fill(laid.layout.item, laid.surface.key, ink_fills(palette))
    elements: list[Element] = [*draw_surface(laid.surface, place, fill, _STYLE)]
    elements += draw_zones(laid.surface, place, _STYLE)
    elements += [use_decal(p, place) for p in laid.placements]
    decals = tuple(shapely.box(*p.box) for p in laid.placements)
    elements += draw_zone_names(laid.surface, place, fill, _STYLE, decals)
    elements += _heights(laid, place, cell[0])
    elements += _names(laid, place, cell[2], accent)
    side = f", {laid.layout.item.side}" if laid.layout.item.side else ""
    words = f"{laid.surface.name}{side}: {x1 - x0:.1f} mm wide, {y1 - y0:.1f} mm long"
    low, room = on_page(place, 0.0, y1)[1] - 5.0, cell[2] - cell[0]
    elements.append(fit_line(words, middle, low, 7.0, room, "text", SOFT, Anchor.MIDDLE))
    return elements


def _heights(laid: Laid, place: Affine, left: float) -> list[Element]:
    """Running dimensions down the left: datums named, and each decal's top and foot."""
    x0 = laid.surface.outline.bounds[0]
    notes: list[tuple[float, str, Paint]] = []
    for datum in laid.surface.datums:
        notes.append((datum.y_mm, f"{datum.name.replace('-', ' ')}  {datum.y_mm:z.1f}", SOFT))
    for placement in laid.placements:
        _, top, _, foot = placement.box
        notes += [(top, f"{top:z.1f}", INK), (foot, f"{foot:z.1f}", INK)]
    notes = _distinct(notes)
    edge = on_page(place, x0, 0.0)[0] - 1.0
    levels = [on_page(place, 0.0, y)[1] for y, _, _ in notes]
    elements: list[Element] = []
    for (_, words, paint), level, at in zip(notes, levels, spread(levels, _APART), strict=True):
        elements.append(_leader(edge, level, edge - 6.0, at, paint))
        width = edge - 7.0 - left
        elements.append(
            fit_line(words, edge - 6.8, at - 0.75, 6.5, width, "text", paint, Anchor.END)
        )
    return elements


def _distinct(notes: list[tuple[float, str, Paint]]) -> list[tuple[float, str, Paint]]:
    """Sorted from the datum on, one note a level (datums first)."""
    kept: dict[int, tuple[float, str, Paint]] = {}
    for note in notes:
        kept.setdefault(round(note[0] * 10), note)
    return [kept[level] for level in sorted(kept)]


def _leader(x0: float, y0: float, x1: float, y1: float, paint: Paint) -> Shape:
    bend = x0 + (x1 - x0) * 0.35
    path = Path.polyline(
        [(x0, y0), (bend, y0), (x0 + (x1 - x0) * 0.75, y1), (x1, y1)], closed=False
    )
    return Shape(path, None, Stroke(paint, 0.12))


def _names(laid: Laid, place: Affine, right: float, accent: LabPaint) -> list[Element]:
    """Numbers and names down the right, each led to its decal."""
    levels, boxes = [], []
    for placement in laid.placements:
        box = placement.box
        boxes.append(box)
        levels.append(on_page(place, 0.0, (box[1] + box[3]) / 2)[1])
    edge = on_page(place, laid.surface.outline.bounds[2], 0.0)[0]
    elements: list[Element] = []
    for index, (placement, level, at) in enumerate(
        zip(laid.placements, levels, spread(levels, 8.0), strict=True)
    ):
        x0, y0, x1, y1 = boxes[index]
        start = on_page(place, x1, 0.0)[0] + 0.5
        elements.append(_leader(start, level, edge + 6.0, at, accent))
        elements.append(Shape(Path.circle(edge + 8.4, at, 2.3), accent))
        white = LabPaint((97.0, 0.0, 2.0))
        number = str(laid.first + index)
        elements.append(
            Label(number, edge + 8.4, at - 0.95, 7.5, white, Anchor.MIDDLE, 0.0, "text-bold")
        )
        x, width = edge + 12.0, right - edge - 12.0
        elements.append(fit_line(placement.decal.name, x, at + 0.4, 7.0, width, "text-bold"))
        size = f"{x1 - x0:.1f} × {y1 - y0:.1f} mm"
        elements.append(fit_line(size, x, at - 2.8, 6.5, width, "text", SOFT))
    return elements
