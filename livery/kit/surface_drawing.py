"""One surface laid flat: its outline and its zones, at any scale.

What is drawn is kept: every order of an item and size pictures its surfaces alike.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from livery.drawing import Element, LabColour, LabPaint, Stroke
from livery.geometry import Affine
from livery.kit.drawing_style import (
    NO_FILLS,
    STYLE,
    DrawingStyle,
    draw_area,
    draw_text,
    drawn_scale,
    on_page,
    paint_of,
)
from livery.kit.model import KitItem, Surface, Zone
from livery.scheme.model import ItemKind
from livery.units import pt_to_mm

_LETTER = 0.55  # mean width of a letter over its size [source: workshop-choice]
_PLACES = 9  # across a zone, that its name is tried at [source: workshop-choice]


@lru_cache(maxsize=256)
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


@lru_cache(maxsize=256)
def draw_zones(surface: Surface, place: Affine, style: DrawingStyle = STYLE) -> tuple[Element, ...]:
    """Barred zones hatched, others outlined with dashes."""
    elements: list[Element] = []
    for zone in surface.zones:
        if zone.allowed:
            dash = Stroke(style.advice, style.fine_mm, (1.2, 0.8))
            elements.append(draw_area(zone.area, place, None, dash, zone.name))
        else:
            elements += _barred(zone, place, style)
    return tuple(elements)


@lru_cache(maxsize=256)
def draw_zone_names(
    surface: Surface,
    place: Affine,
    ground: LabPaint,
    style: DrawingStyle = STYLE,
    keep_off: tuple[BaseGeometry, ...] = (),
) -> tuple[Element, ...]:
    """Each zone's name, where there is room for it inside the zone; lines beneath stop for it.

    Args:
        surface: whose zones.
        place: the surface's frame to the page (``place_on_page``).
        ground: colour of the surface.
        style: line weights and lettering.
        keep_off: what no name may lie on, in the surface's frame.
    """
    taken = shapely.union_all([*keep_off])
    elements: list[Element] = []
    for zone in surface.zones:
        words = zone.name.replace("-", " ")
        room = _room_for(words, zone, drawn_scale(place), style, taken) if zone.reason else None
        if room is None:
            continue
        taken = taken.union(room)
        x0, y0, _, y1 = room.bounds
        elements.append(draw_area(room, place, ground))
        baseline = on_page(place, x0, y1 - 0.2 * (y1 - y0))
        elements.append(draw_text(words, baseline, style))
    return tuple(elements)


def _room_for(
    words: str, zone: Zone, scale: float, style: DrawingStyle, taken: BaseGeometry
) -> BaseGeometry | None:
    """The first place for a zone's name: from the left at its foot, towards its head."""
    high = pt_to_mm(style.text_pt) / scale
    wide, inset = _LETTER * len(words) * high, 0.4 * high
    x0, y0, x1, y1 = zone.area.bounds
    free = zone.area.difference(taken)
    shapely.prepare(free)
    x, y = np.meshgrid(
        np.linspace(x0 + inset, max(x0 + inset, x1 - inset - wide), _PLACES),
        np.arange(y1 - inset, y0 + high, -high / 2),
    )
    rooms = shapely.box(x, y - high, x + wide, y).ravel()
    fitting = np.flatnonzero(shapely.contains(free, rooms))
    return rooms[fitting[0]] if len(fitting) else None


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
