"""A whole bat as people know it: handle, grip, splice, shoulders, blade.

The picture's frame is that of the surface shown, so artwork placed on the surface falls in place.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from livery.drawing import Element, LabColour, Shape, Stroke
from livery.geometry import Affine
from livery.kit.development import develop_back, develop_face, spine_line
from livery.kit.drawing_style import (
    NO_FILLS,
    STYLE,
    DrawingStyle,
    draw_area,
    draw_line,
    drawn_scale,
    paint_of,
)
from livery.kit.model import KitItem, Surface
from livery.kit.rounding import round_corners
from livery.kit.section import Array, profile_of
from livery.scheme.model import BladeDims

# What the pictures show beyond what is measured: all are choices. [source: workshop-choice]
_GRAIN_GAP_MM = 10.5
_RIB_GAP_MM = 9.0
_CHEVRON_MM = 5.0
_HANDLE_DEPTH = 0.92  # of its width, seen from the side
_GRIP_WAIST = 0.9  # of the handle's width at its entry
_FAR_MM = 1e5  # wider than anything drawn
_RIDGE_MM = 11.0  # half-width of the spine's lit strip where the spine is highest


class BatView(StrEnum):
    """From where a bat is seen; each value is the key of the surface shown."""

    FACE = "face"
    BACK = "back"
    EDGE_LEFT = "edge-left"
    EDGE_RIGHT = "edge-right"


def draw_bat(
    item: KitItem,
    view: BatView,
    place: Affine,
    fills: Mapping[str, LabColour] = NO_FILLS,
    style: DrawingStyle = STYLE,
) -> tuple[Element, ...]:
    """A bat as seen from one side, its blade laid flat like the surface shown.

    Args:
        item: the bat.
        view: from where.
        place: the surface's frame to the page (``place_on_page``).
        fills: material to colour (willow, grain, ridge, cane, grip, grip-rib).
        style: line weights.

    Raises:
        ValueError: the item is no bat.
    """
    if item.dims is None:
        raise ValueError(f"{item.key} is no bat")
    surface, dims = item.surface(view.value), item.dims
    if view in (BatView.EDGE_LEFT, BatView.EDGE_RIGHT):
        return _edge_picture(surface, dims, place, fills, style)
    blade = _blade_area(surface, dims)
    line = Stroke(style.pencil, style.line_mm, round=True)
    half, top = dims.handle_width / 2, handle_top_mm(dims)
    inner = _ridge(surface, dims, place, fills) if view is BatView.BACK else ()
    return (
        draw_area(blade, place, paint_of("willow", fills), line, "blade"),
        *_grain(blade, place, fills, style),
        *inner,
        *_splice(surface, place, fills, style),
        *_grip(half, 0.0, top, place, fills, style),
    )


def handle_top_mm(dims: BladeDims) -> float:
    """Y of the handle's top in the frame of the face: negative, above the grip's end."""
    return -dims.exposed_handle - dims.grip_below_entry


def bat_bounds(item: KitItem, view: BatView) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) of a bat's picture in the frame of the surface shown, mm.

    Raises:
        ValueError: the item is no bat.
    """
    if item.dims is None:
        raise ValueError(f"{item.key} is no bat")
    x0, _, x1, y1 = item.surface(view.value).outline.bounds
    if view is BatView.EDGE_LEFT:
        x0 = x1 - item.dims.spine_height
    elif view is BatView.EDGE_RIGHT:
        x1 = x0 + item.dims.spine_height
    return x0, handle_top_mm(item.dims), x1, y1


@lru_cache(maxsize=256)
def _blade_area(surface: Surface, dims: BladeDims) -> BaseGeometry:
    return shapely.unary_union([surface.outline.buffer(1e-6), _under_grip(surface, dims)])


def _under_grip(surface: Surface, dims: BladeDims) -> Polygon:
    """The shoulders between handle entry and grip end, beside the grip."""
    profile = profile_of(dims)
    strip = develop_back(profile) if surface.key == BatView.BACK else develop_face(profile)
    covered = profile.axis_mm <= dims.grip_below_entry + 1e-9
    if np.count_nonzero(covered) < 2:
        return Polygon()
    y = strip.y_mm[covered] - strip.y_mm[covered][-1]
    starts = surface.outline.intersection(box(-_FAR_MM, -1.0, _FAR_MM, 1e-3)).bounds
    up = y / y[0]
    sides = []
    for half, start in ((strip.left_mm[covered], starts[0]), (strip.right_mm[covered], starts[2])):
        # A drawn outline may differ a little from the parametric one: meet it at the grip's end.
        met = half * (1.0 + (start / half[-1] - 1.0) * (1.0 - up))
        # A back's end grain at the entry is not laid flat: its outline closes on the handle.
        neck = np.copysign(dims.handle_width / 2, start)
        sides.append(np.column_stack([met - (met[0] - neck) * up**2, y]))
    return Polygon(np.concatenate([sides[1], sides[0][::-1]]))


def _grain(
    blade: BaseGeometry, place: Affine, fills: Mapping[str, LabColour], style: DrawingStyle
) -> tuple[Shape, ...]:
    """Straight grain the length of the blade."""
    x0, y0, x1, y1 = blade.bounds
    count = int((x1 - x0) // _GRAIN_GAP_MM)
    places = (np.arange(count) - (count - 1) / 2) * _GRAIN_GAP_MM
    lines = shapely.MultiLineString([[(x, y0), (x, y1)] for x in places])
    cut = lines.intersection(blade.buffer(-1.5))
    stroke = Stroke(paint_of("grain", fills), style.fine_mm)
    return () if cut.is_empty else (draw_area(cut, place, None, stroke, "grain"),)


def _ridge(
    surface: Surface, dims: BladeDims, place: Affine, fills: Mapping[str, LabColour]
) -> tuple[Shape, ...]:
    """The lit strip along the spine, widest where the spine is highest."""
    start, end = surface.datum("shoulder").y_mm, surface.datum("toe").y_mm
    peak = end - dims.spine_from_toe
    x0, x1, x2 = np.interp((start, peak, end), *_spine_of(dims))
    right = [(x0 + 3.0, start), (x1 + _RIDGE_MM, peak, 150.0), (x2 + 4.0, end)]
    left = [(x2 - 4.0, end), (x1 - _RIDGE_MM, peak, 150.0), (x0 - 3.0, start)]
    path = round_corners([*right, *left], 0.0)
    return (Shape(path.transformed(place), paint_of("ridge", fills), name="spine"),)


@lru_cache(maxsize=256)
def _spine_of(dims: BladeDims) -> tuple[Array, Array]:
    """Y along the back, and x of the spine there."""
    profile = profile_of(dims).from_grip()
    return develop_back(profile).y_mm, spine_line(profile)


def _splice(
    surface: Surface, place: Affine, fills: Mapping[str, LabColour], style: DrawingStyle
) -> tuple[Shape, ...]:
    """The V of the handle let into the blade, with the joint down its middle."""
    found = [zone.area for zone in surface.zones if zone.name == "splice"]
    if not found:
        return ()
    line = Stroke(style.pencil, style.fine_mm)
    _, y0, _, y1 = found[0].bounds
    return (
        draw_area(found[0], place, paint_of("cane", fills), line, "splice"),
        draw_line([(0.0, y0), (0.0, y1)], line, place, "splice joint"),
    )


def _grip(
    half: float,
    centre: float,
    top: float,
    place: Affine,
    fills: Mapping[str, LabColour],
    style: DrawingStyle,
) -> tuple[Shape, ...]:
    """The rubber sleeve from the handle's top to y = 0, with its ribs."""
    waist, middle = half * _GRIP_WAIST, top / 2
    right = [(waist, top, 6.0), (waist * 0.97, middle, 90.0), (half + 0.5, 0.0, 2.5)]
    left = [(-x, y, radius) for x, y, radius in right[::-1]]
    outline = round_corners([(centre + x, y, r) for x, y, r in [*right, *left]], 0.0)
    line = Stroke(style.pencil, style.line_mm, round=True)
    inside = outline.polygon().buffer(-1.0)
    # On a small picture ribs stand further apart, lest they run together.
    gap = max(_RIB_GAP_MM, 8.0 * style.line_mm / drawn_scale(place))
    levels = np.arange(top, 0.0, gap)
    ribs = [[(centre - half, y), (centre, y + _CHEVRON_MM), (centre + half, y)] for y in levels]
    cut = shapely.MultiLineString(ribs).intersection(inside)
    rib = Stroke(paint_of("grip-rib", fills), style.line_mm * 2)
    return (
        Shape(outline.transformed(place), paint_of("grip", fills), line, name="grip"),
        draw_area(cut, place, None, rib, "grip ribs"),
    )


def _edge_picture(
    surface: Surface,
    dims: BladeDims,
    place: Affine,
    fills: Mapping[str, LabColour],
    style: DrawingStyle,
) -> tuple[Element, ...]:
    """A side view: the edge before the swell of the spine, under the grip."""
    towards_back = -1.0 if surface.key == "edge-left" else 1.0
    x0, _, x1, _ = surface.outline.bounds
    face = x1 if towards_back < 0 else x0
    depth = dims.handle_width * _HANDLE_DEPTH
    centre = face + towards_back * (depth / 2 + 1.0)
    line = Stroke(style.pencil, style.line_mm, round=True)
    swell = _side_outline(surface, dims, face, towards_back)
    return (
        draw_area(swell, place, paint_of("ridge", fills), line, "spine"),
        draw_area(surface.outline, place, paint_of("willow", fills), line, "edge"),
        *_grip(depth / 2, centre, handle_top_mm(dims), place, fills, style),
    )


def _side_outline(surface: Surface, dims: BladeDims, face: float, towards_back: float) -> Polygon:
    """The blade's outline seen from the side, from handle entry to toe."""
    profile = profile_of(dims)
    y = profile.axis_mm - dims.grip_below_entry
    # The edge runs round the shoulder and is longer than the blade is straight.
    y = np.where(y > 0, y * surface.datum("toe").y_mm / y[-1], y)
    front = np.column_stack([face - towards_back * (profile.bow_mm - profile.bow_mm.max()), y])
    back = front + np.column_stack([towards_back * profile.spine_mm, np.zeros_like(y)])
    return Polygon(np.concatenate([front, back[::-1]]))
