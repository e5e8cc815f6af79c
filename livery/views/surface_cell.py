"""One surface in its place on a plan: bare, zones, decals, limits, and numbers at both sides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from livery.artwork.typesetting import fit_line, spread
from livery.drawing import Anchor, Element, LabColour, LabPaint, Shape, Stroke
from livery.geometry import Affine, Path
from livery.kit import (
    draw_dimension,
    draw_surface,
    draw_zone_names,
    draw_zones,
    place_on_page,
    surface_fill,
)
from livery.kit.drawing_style import DrawingStyle, draw_area, draw_line, on_page, style_upon
from livery.kit.model import Surface
from livery.limits import RuleBook
from livery.placement import Layout, Placement, draw_placed
from livery.placement.intent import Box, joint_box
from livery.scheme.model import ItemKind
from livery.views.facts import findings_on, is_broken, tenths
from livery.views.frame import ADVICE, INK, LIMIT, SOFT
from livery.views.limit_marks import LimitMark, mark_limits

LEFT_MM, RIGHT_MM, ABOVE_MM, BELOW_MM = 15.0, 38.0, 6.0, 11.0
"""Room round a surface: heights, names, title, width [source: workshop-choice]."""

_STYLE = DrawingStyle(line_mm=0.22, fine_mm=0.1, text_pt=6.0)
_NOTE_PT, _APART_MM = 6.0, 2.75  # [source: workshop-choice]
_BAR_MM = 2.0  # how far limit lines stand out of the surface [source: workshop-choice]
_LEAD_MM = 5.0  # length of the lines that lead to words [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Cell:
    """A surface of a layout and where it stands on the page.

    Attributes:
        box: about the surface and its decals, which may hang over it, in the surface's frame.
        reduction: true size over drawn size.
        numbers: a number for each placement key, as in the plan's table.
        right_mm: room for names on the right, page mm.
    """

    layout: Layout
    surface: Surface
    box: Box
    place: Affine
    reduction: float
    numbers: Mapping[str, int]
    right_mm: float = RIGHT_MM

    @property
    def placements(self) -> tuple[Placement, ...]:
        """The surface's decals, from the top down."""
        own = [p for p in self.layout.placements if p.surface == self.surface.key]
        return tuple(sorted(own, key=lambda p: (p.box[1], p.key)))


@dataclass(frozen=True, slots=True)
class _Note:
    """Words beside a surface, led to a point on it (surface frame)."""

    x_mm: float
    y_mm: float
    words: str
    paint: LabPaint
    font: str = "text"


def box_of(layout: Layout, surface: Surface) -> Box:
    """(x0, y0, x1, y1) about a surface and its decals, in the surface's frame, mm."""
    boxes = [p.box for p in layout.placements if p.surface == surface.key]
    return joint_box([surface.outline.bounds, *boxes])


def cell_size_mm(box: Box, reduction: float) -> tuple[float, float]:
    """Width and height that a surface and its decals take on the page, with the notes."""
    x0, y0, x1, y1 = box
    wide = (x1 - x0) / reduction + LEFT_MM + RIGHT_MM
    return wide, (y1 - y0) / reduction + ABOVE_MM + BELOW_MM


def place_cell(box: Box, left: float, top: float, reduction: float) -> Affine:
    """The map that hangs a surface's cell from its upper left corner on the page."""
    x0, y0, _, _ = box
    x = left + LEFT_MM - x0 / reduction
    return place_on_page(x, top - ABOVE_MM + y0 / reduction, 1.0 / reduction)


def draw_cell(
    cell: Cell, books: Sequence[RuleBook], fills: Mapping[str, LabColour]
) -> list[Element]:
    """A surface with everything on it and beside it.

    Args:
        cell: the surface in its place.
        books: rule books in force.
        fills: ink key to colour.
    """
    surface, place = cell.surface, cell.place
    fill = surface_fill(cell.layout.item, surface.key, fills)
    marks = mark_limits(surface, books)
    return [
        *draw_surface(surface, place, fill, _STYLE),
        *_centre_line(cell, fill),
        *draw_placed(cell.layout, surface.key, place),
        *_outlines(cell),
        *draw_zones(surface, place, style_upon(fill, _STYLE)),
        *_datum_lines(cell),
        *_limit_lines(cell, marks, style_upon(fill, _STYLE)),
        *draw_zone_names(surface, place, fill, style_upon(fill, _STYLE), _kept_off(cell, marks)),
        *_title(cell),
        *_width(cell),
        *_heights(cell),
        *_notes(cell, marks),
    ]


def _centre_line(cell: Cell, fill: LabPaint) -> list[Element]:
    _, y0, _, y1 = cell.surface.outline.bounds
    stroke = Stroke(style_upon(fill, _STYLE).pencil, 0.07, (4.0, 1.0, 0.8, 1.0))
    return [draw_line([(0.0, y0), (0.0, y1)], stroke, cell.place, "centre line")]


def _outlines(cell: Cell) -> list[Element]:
    """Every decal's cut line, heavy and red where it breaks a limit."""
    elements: list[Element] = []
    for placement in cell.placements:
        broken = is_broken(findings_on(cell.layout, placement))
        stroke = Stroke(LIMIT, 0.5) if broken else Stroke(INK, 0.08)
        outline = placement.decal.outline.transformed(cell.place @ placement.affine)
        elements.append(Shape(outline, None, stroke, name=f"{placement.key} cut line"))
    return elements


def _datum_lines(cell: Cell) -> list[Element]:
    x0, _, x1, _ = cell.surface.outline.bounds
    stroke = Stroke(SOFT, 0.1, (2.4, 0.8, 0.6, 0.8))
    reach = _BAR_MM * cell.reduction
    return [
        draw_line([(x0 - reach, y), (x1 + reach, y)], stroke, cell.place, name)
        for y, name in _datums(cell)
    ]


def _datums(cell: Cell) -> list[tuple[float, str]]:
    """Datums on the surface, those that coincide together."""
    _, y0, _, y1 = cell.surface.outline.bounds
    is_bat = cell.layout.item.kind is ItemKind.BAT
    found: dict[float, list[str]] = {}
    for datum in cell.surface.datums:
        if y0 - 1e-6 <= datum.y_mm <= y1 + 1e-6:
            name = datum.name.replace("-", " ") if is_bat or datum.name != "toe" else "lower end"
            found.setdefault(round(datum.y_mm, 1) + 0.0, []).append(name)
    return [(y, ", ".join(names)) for y, names in sorted(found.items())]


def _limit_lines(cell: Cell, marks: Sequence[LimitMark], upon: DrawingStyle) -> list[Element]:
    x0, _, x1, _ = cell.surface.outline.bounds
    reach = _BAR_MM * cell.reduction
    elements: list[Element] = []
    for mark in marks:
        line = Stroke(LIMIT if mark.binding else ADVICE, 0.22, (1.6, 0.7))
        for y in mark.lines_mm:
            ends = [(x0 - reach, y), (x1 + reach, y)]
            elements.append(draw_line(ends, line, cell.place, mark.words))
        if mark.shape is not None:
            thin = Stroke(upon.barred if mark.binding else upon.advice, 0.14, (1.0, 0.6))
            elements.append(draw_area(mark.shape, cell.place, None, thin, mark.words))
    return elements


def _kept_off(cell: Cell, marks: Sequence[LimitMark]) -> tuple[BaseGeometry, ...]:
    """Decals and lines of limits, which the names of zones leave alone."""
    x0, _, x1, _ = cell.surface.outline.bounds
    lines = [shapely.LineString([(x0, y), (x1, y)]) for mark in marks for y in mark.lines_mm]
    shapes = [mark.shape for mark in marks if mark.shape is not None]
    return (*(shapely.box(*p.box) for p in cell.placements), *lines, *shapes)


def _title(cell: Cell) -> list[Element]:
    x0, _, x1, _ = cell.surface.outline.bounds
    x, y = on_page(cell.place, (x0 + x1) / 2, cell.box[1])
    room = (x1 - x0) / cell.reduction + LEFT_MM + 0.6 * RIGHT_MM
    return [fit_line(cell.surface.name, x, y + 2.6, 8.5, room, "text-bold", INK, Anchor.MIDDLE)]


def _width(cell: Cell) -> list[Element]:
    x0, _, x1, _ = cell.surface.outline.bounds
    words, foot = f"{x1 - x0:.2f} mm", cell.box[3]
    return list(draw_dimension(cell.place, (x0, foot), (x1, foot), -5.5, words, _STYLE))


def _heights(cell: Cell) -> list[Element]:
    """Running heights down the left: the surface's ends, and each decal's top and foot."""
    x0, y0, _, y1 = cell.surface.outline.bounds
    levels = {round(y0, 1), round(y1, 1)}
    for placement in cell.placements:
        box = placement.box
        levels |= {round(box[1], 1), round(box[3], 1)}
    notes = [_Note(x0, y, tenths(y), INK) for y in sorted(levels)]
    return _lead(cell, notes, right=False)


def _notes(cell: Cell, marks: Sequence[LimitMark]) -> list[Element]:
    """Names down the right: decals, limits, datums."""
    x1 = cell.surface.outline.bounds[2]
    bar = _BAR_MM * cell.reduction
    notes = [_Note(x1 + bar, y, f"{name} {tenths(y)}", SOFT) for y, name in _datums(cell)]
    for mark in marks:
        paint, x = (LIMIT if mark.binding else ADVICE), (x1 + bar if mark.lines_mm else x1)
        notes.append(_Note(x, mark.level_mm, mark.words, paint))
    for placement in cell.placements:
        left, top, right, foot = placement.box
        words = (
            f"{cell.numbers[placement.key]}  {placement.decal.name}, "
            f"{right - left:.1f} × {foot - top:.1f}"
        )
        notes.append(_Note(right, (top + foot) / 2, words, INK, "text-bold"))
    return _lead(cell, sorted(notes, key=lambda note: note.y_mm), right=True)


def _lead(cell: Cell, notes: Sequence[_Note], *, right: bool) -> list[Element]:
    """Notes beside the surface, apart from each other, with lines to what they tell of."""
    edge = on_page(cell.place, cell.box[2 if right else 0], 0.0)[0]
    sign = 1.0 if right else -1.0
    start, stop = edge + sign * _BAR_MM, edge + sign * (_BAR_MM + _LEAD_MM)
    levels = [on_page(cell.place, 0.0, note.y_mm)[1] for note in notes]
    room = (cell.right_mm if right else LEFT_MM) - _BAR_MM - _LEAD_MM - 1.5
    anchor = Anchor.START if right else Anchor.END
    elements: list[Element] = []
    for note, level, at in zip(notes, levels, spread(levels, _APART_MM), strict=True):
        x = on_page(cell.place, note.x_mm, 0.0)[0]
        points = [(x, level), (start, level), (stop - sign * 1.0, at), (stop, at)]
        line = Stroke(note.paint, 0.1)
        elements.append(Shape(Path.polyline(points, closed=False), None, line))
        label = (stop + sign * 0.6, at - 0.72)
        elements.append(fit_line(note.words, *label, _NOTE_PT, room, note.font, note.paint, anchor))
    return elements
