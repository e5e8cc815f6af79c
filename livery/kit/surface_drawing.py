"""One surface laid flat: outline, zones, datums and dimensions, at any scale."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from livery.drawing import Anchor, Element, LabColour, LabPaint, Stroke
from livery.geometry import Affine
from livery.kit.dimension_drawing import draw_dimension
from livery.kit.drawing_style import (
    NO_FILLS,
    STYLE,
    DrawingStyle,
    draw_area,
    draw_line,
    draw_text,
    drawn_scale,
    on_page,
    paint_of,
    style_upon,
)
from livery.kit.model import KitItem, Surface, Zone
from livery.scheme.model import ItemKind
from livery.units import pt_to_mm

_CLEAR_MM = 3.0  # from the outline to datum names [source: workshop-choice]
_LETTER = 0.55  # mean width of a letter over its size [source: workshop-choice]
_STAND_OFF_MM = 7.0  # from the outline to a dimension line [source: workshop-choice]


def draw_surface(
    surface: Surface,
    place: Affine,
    fill: LabPaint | None = None,
    style: DrawingStyle = STYLE,
) -> tuple[Element, ...]:
    """The surface's outline, filled.

    Args:
        surface: what to draw.
        place: the surface's frame to the page (``place_on_page``).
        fill: its colour; None leaves it open.
        style: line weights and lettering.
    """
    stroke = Stroke(style.pencil, style.line_mm, round=True)
    return (draw_area(surface.outline, place, fill, stroke, surface.key),)


def surface_fill(item: KitItem, key: str, fills: Mapping[str, LabColour] = NO_FILLS) -> LabPaint:
    """What a surface looks like bare: willow for a bat, the panel's ink for gloves and pads.

    Args:
        item: the kit.
        key: of the surface.
        fills: ink key to colour; may also replace materials.
    """
    if item.kind is ItemKind.BAT:
        return paint_of("willow", fills)
    inks = [panel.ink for panel in item.panels if panel.surface == key]
    return paint_of(inks[0] if inks else "plain", fills)


def draw_zones(surface: Surface, place: Affine, style: DrawingStyle = STYLE) -> tuple[Element, ...]:
    """Barred zones hatched, others outlined with dashes; named where there is room."""
    elements: list[Element] = []
    for zone in surface.zones:
        if zone.allowed:
            dash = Stroke(style.advice, style.fine_mm, (1.2, 0.8))
            elements.append(draw_area(zone.area, place, None, dash, zone.name))
        else:
            elements += _barred(zone, place, style)
        if zone.reason:
            elements += _zone_name(zone, place, style)
    return tuple(elements)


def _zone_name(zone: Zone, place: Affine, style: DrawingStyle) -> list[Element]:
    """The zone's name at the first place inside it that holds the words."""
    words, scale = zone.name.replace("-", " "), drawn_scale(place)
    high = pt_to_mm(style.text_pt) / scale
    wide, inset = _LETTER * len(words) * high, 0.4 * high
    x0, y0, x1, y1 = zone.area.bounds
    middle = (x0 + x1 - wide) / 2
    for x, y in ((x0 + inset, y1 - inset), (middle, y0 + high + inset), (middle, y1 - inset)):
        if zone.area.contains(box(x, y - high, x + wide, y)):
            return [draw_text(words, on_page(place, x, y - 0.2 * high), style)]
    return []


def draw_datums(
    surface: Surface, place: Affine, style: DrawingStyle = STYLE
) -> tuple[Element, ...]:
    """A line across the surface at each datum, named on the right with its y in mm."""
    x0, _, x1, _ = surface.outline.bounds
    reach = _CLEAR_MM / drawn_scale(place)
    stroke = Stroke(style.pencil, style.fine_mm, (3.0, 1.0, 0.6, 1.0))
    lift = 0.35 * pt_to_mm(style.text_pt)
    elements: list[Element] = []
    for y_mm, names in _datum_lines(surface, pt_to_mm(style.text_pt) / drawn_scale(place)):
        ends = [(x0 - reach, y_mm), (x1 + reach, y_mm)]
        elements.append(draw_line(ends, stroke, place, names))
        x, y = on_page(place, *ends[1])
        words = f"{names}  {abs(y_mm) if abs(y_mm) < 0.05 else y_mm:.1f}".removesuffix(".0")
        elements.append(draw_text(words, (x + 1.0, y - lift), style))
    return tuple(elements)


def _datum_lines(surface: Surface, apart_mm: float) -> list[tuple[float, str]]:
    """Datums on the surface with their names; those too close to letter share a line."""
    _, y0, _, y1 = surface.outline.bounds
    lines: list[tuple[float, str]] = []
    for datum in sorted(surface.datums, key=lambda found: round(found.y_mm, 2)):
        if not y0 - 1e-6 <= datum.y_mm <= y1 + 1e-6:
            continue
        name = datum.name.replace("-", " ")
        if lines and datum.y_mm - lines[-1][0] < apart_mm:
            lines[-1] = (lines[-1][0], f"{lines[-1][1]}, {name}")
        else:
            lines.append((datum.y_mm, name))
    return lines


def draw_surface_dimensions(
    surface: Surface, place: Affine, style: DrawingStyle = STYLE
) -> tuple[Element, ...]:
    """Greatest width below and length on the left, each at true length."""
    x0, y0, x1, y1 = surface.outline.bounds
    return (
        *draw_dimension(place, (x0, y1), (x1, y1), -_STAND_OFF_MM, style=style),
        *draw_dimension(place, (x0, y0), (x0, y1), -_STAND_OFF_MM, style=style),
    )


def draw_surface_title(
    surface: Surface, place: Affine, style: DrawingStyle = STYLE, words: str = ""
) -> tuple[Element, ...]:
    """The surface's name above it, with its true area in cm²."""
    x0, y0, x1, _ = surface.outline.bounds
    x, y = on_page(place, (x0 + x1) / 2, y0)
    text = words or f"{surface.name}, {surface.area_mm2 / 100:.1f} cm²"
    return (draw_text(text, (x, y + _CLEAR_MM), style, Anchor.MIDDLE),)


def _barred(zone: Zone, place: Affine, style: DrawingStyle) -> list[Element]:
    stroke = Stroke(style.barred, style.fine_mm)
    hatch = hatch_area(zone.area, style.hatch_mm / drawn_scale(place))
    outline = draw_area(zone.area, place, None, stroke, zone.name)
    if hatch.is_empty:
        return [outline]
    return [outline, draw_area(hatch, place, None, stroke, f"{zone.name} hatching")]


def hatch_area(area: BaseGeometry, gap_mm: float) -> BaseGeometry:
    """Lines at 45° inside an area, ``gap_mm`` apart."""
    x0, y0, x1, y1 = area.bounds
    step = gap_mm * 2**0.5
    starts = np.arange(x0 - (y1 - y0) + step / 2, x1, step)
    rise = y1 - y0
    lines = [shapely.LineString([(x, y0), (x + rise, y1)]) for x in starts]
    cut = shapely.intersection(shapely.MultiLineString(lines), area)
    kept = [part for part in shapely.get_parts(cut) if isinstance(part, shapely.LineString)]
    return shapely.MultiLineString(kept)


def draw_laid_flat(
    item: KitItem,
    key: str,
    place: Affine,
    fills: Mapping[str, LabColour] = NO_FILLS,
    style: DrawingStyle = STYLE,
) -> tuple[Element, ...]:
    """A surface with everything a designer asks of it: colour, zones, datums, dimensions, area.

    Raises:
        KeyError: the item has no such surface.
    """
    surface, fill = item.surface(key), surface_fill(item, key, fills)
    return (
        *draw_surface(surface, place, fill, style),
        *draw_zones(surface, place, style_upon(fill, style)),
        *draw_datums(surface, place, style),
        *draw_surface_dimensions(surface, place, style),
        *draw_surface_title(surface, place, style),
    )
