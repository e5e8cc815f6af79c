"""Signed distances between areas: positive clear, 0 touching, negative overlapping, mm."""

from __future__ import annotations

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

Area = Polygon | MultiPolygon


def depth_inside(area: Area, surface: Area) -> float:
    """How far inside a surface an area lies: its least distance to the surface's boundary.

    Returns:
        mm; negative is how far the area's farthest point stands outside.
    """
    outside = area.difference(surface)
    if not outside.is_empty:
        beyond = _farthest(outside, surface)
        if beyond > 0.0:
            return -beyond
    return float(area.boundary.distance(surface.boundary))


def distance_clear(area: Area, other: Area) -> float:
    """How far apart two areas are.

    Returns:
        mm; negative is how deep the overlap reaches from the nearer of the two boundaries.
    """
    gap = float(area.distance(other))
    if gap > 0.0:
        return gap
    overlap = shapely.unary_union(
        [p for p in shapely.get_parts(area.intersection(other)) if p.area > 0.0]
    )
    if overlap.is_empty:
        return 0.0
    return -min(_farthest(overlap, other.boundary), _farthest(overlap, area.boundary))


def _farthest(geometry: BaseGeometry, target: BaseGeometry) -> float:
    """Largest distance from a geometry's corners to a target."""
    corners = shapely.points(shapely.get_coordinates(geometry))
    return float(shapely.distance(corners, target).max())
