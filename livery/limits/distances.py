"""Signed distances between areas: positive clear, 0 touching, negative overlapping, mm.

They are kept: both hands, and every model of the same blade, ask for the same ones again.
"""

from __future__ import annotations

from functools import lru_cache

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from livery.geometry import Area

_INRADIUS_STEP_MM = 1e-3  # of an overlap whose corners all lie on both outlines
_NO_AREA_MM2 = 1e-9  # rounding of two outlines that touch along a side
_KEPT = 1024  # twice what one model in every size and for both hands asks; workshop choice


@lru_cache(maxsize=_KEPT)
def depth_inside(area: Area, surface: Area) -> float:
    """How far inside a surface an area lies: its least distance to the surface's boundary.

    Returns:
        mm; negative is how far the area's farthest point stands outside.
    """
    outside = _parts(area.difference(surface))
    if outside:
        beyond = max(_farthest(part, surface) for part in outside)
        beyond = beyond if beyond > _NO_AREA_MM2 else max(_inradius(part) for part in outside)
        if beyond > 0.0:
            return -beyond
    return _apart(surface.boundary, area.boundary)


@lru_cache(maxsize=_KEPT)
def distance_clear(area: Area, other: Area) -> float:
    """How far apart two areas are.

    Returns:
        mm; negative is how deep a corner of one reaches into the other, or how wide the overlap
        is where they cross without one.
    """
    gap = _apart(other, area)
    if gap > 0.0:
        return gap
    overlap = _parts(area.intersection(other))
    if not overlap:
        return 0.0
    edges = (other.boundary, area.boundary)
    deep = max(_farthest(part, edge) for part in overlap for edge in edges)
    return -(deep if deep > _NO_AREA_MM2 else max(_inradius(part) for part in overlap))


def _apart(one: BaseGeometry, other: BaseGeometry) -> float:
    shapely.prepare(one)  # an index of its sides: ten times faster for outlines with many
    return float(shapely.distance(one, other))


def _parts(geometry: BaseGeometry) -> list[Polygon]:
    """Polygons of any size; what touches at points and lines is no area."""
    parts = shapely.get_parts(geometry)
    return [part for part in parts if isinstance(part, Polygon) and part.area > 0.0]


def _farthest(geometry: BaseGeometry, target: BaseGeometry) -> float:
    """Largest distance from a geometry's corners to a target."""
    shapely.prepare(target)
    corners = shapely.points(shapely.get_coordinates(geometry))
    return float(shapely.distance(target, corners).max())


def _inradius(part: Polygon) -> float:
    """Radius of the largest circle in an area, 0 where the area is rounding."""
    if part.area <= _NO_AREA_MM2:
        return 0.0
    return float(shapely.maximum_inscribed_circle(part, tolerance=_INRADIUS_STEP_MM).length)
