"""Areas as arrays: their sides, their triangles, and a point inside each of their polygons."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from livery.geometry import Area


def segments_of(area: Area) -> NDArray[np.float64]:
    """Every side of every ring, shape (n, 2 ends, 2), mm; a ring's follow one another."""
    rings = [
        np.asarray(ring.coords)[:, :2]
        for part in shapely.get_parts(area)
        for ring in (part.exterior, *part.interiors)
    ]
    sides = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings]
    return np.concatenate(sides) if sides else np.empty((0, 2, 2))


def inner_points(areas: Iterable[Area]) -> NDArray[np.float64]:
    """A point well inside every polygon of areas, shape (n, 2), mm."""
    parts = [part for area in areas for part in shapely.get_parts(area)]
    points: NDArray[np.float64] = shapely.get_coordinates(shapely.point_on_surface(parts))
    return points


def triangles_of(area: BaseGeometry) -> NDArray[np.float64]:
    """An area cut into triangles, shape (n, 3 corners, 2), mm."""
    cut = shapely.get_parts(shapely.constrained_delaunay_triangles(area))
    corners: NDArray[np.float64] = shapely.get_coordinates(cut).reshape(-1, 4, 2)[:, :3]
    return corners
