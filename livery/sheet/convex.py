"""Polygons as convex parts, and the line that parts two of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from livery.geometry import Area

Numbers = NDArray[np.float64]

_OUTWARD_MM = 0.025
_LEAST_CROSS = -1e-9


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A convex polygon.

    Attributes:
        points: shape (n, 2), counter-clockwise, mm.
        normals: outward unit normals of its sides, shape (n, 2).
        box: x0, y0, x1, y1.
    """

    points: Numbers
    normals: Numbers
    box: tuple[float, float, float, float]


def convex_parts(area: Area) -> tuple[Part, ...]:
    """Convex parts that together cover an area, reaching a few hundredths of a mm beyond it.

    Holes count as covered.

    Source: [source: workshop-choice].
    """
    grown = area.buffer(_OUTWARD_MM, join_style="mitre", mitre_limit=2.0)
    parts: list[Part] = []
    for piece in shapely.get_parts(grown):
        outer = Polygon(piece.exterior).simplify(_OUTWARD_MM * 0.8)
        parts += [_part(ring) for ring in _merge(Polygon(shapely.get_coordinates(outer)))]
    return tuple(parts)


def turn_part(part: Part, quarter: int) -> Part:
    """A part turned counter-clockwise about the origin by quarter turns."""
    turn = np.linalg.matrix_power(np.array([[0.0, 1.0], [-1.0, 0.0]]), quarter)
    return _part(part.points @ turn)


def _part(points: Numbers) -> Part:
    sides = np.roll(points, -1, axis=0) - points
    lengths = np.hypot(sides[:, 0], sides[:, 1])
    kept = lengths > 1e-9
    normals = np.stack([sides[kept, 1], -sides[kept, 0]], axis=1) / lengths[kept, None]
    x0, y0 = (float(v) for v in points.min(axis=0))
    x1, y1 = (float(v) for v in points.max(axis=0))
    return Part(points, normals, (x0, y0, x1, y1))


def _merge(outer: Polygon) -> list[Numbers]:
    """Triangles merged over their shared sides wherever that leaves the whole convex."""
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(outer))
    rings = [_ring(triangle) for triangle in triangles]
    owner = {side: n for n, ring in enumerate(rings) for side in _sides(ring)}
    for a, b in sorted(side for side in owner if (side[1], side[0]) in owner and side[0] < side[1]):
        one, two = owner[a, b], owner[b, a]
        if one == two:
            continue
        joined = _joined(rings[one], rings[two], a, b)
        if joined is None:
            continue
        rings[one], rings[two] = joined, []
        for side in _sides(joined):
            owner[side] = one
    return [np.array(ring) for ring in rings if ring]


Point = tuple[float, float]


def _ring(triangle: Polygon) -> list[Point]:
    points = shapely.get_coordinates(triangle.exterior)[:-1]
    if not triangle.exterior.is_ccw:
        points = points[::-1]
    return [(float(x), float(y)) for x, y in points]


def _sides(ring: list[Point]) -> list[tuple[Point, Point]]:
    return list(zip(ring, ring[1:] + ring[:1], strict=True))


def _joined(one: list[Point], two: list[Point], a: Point, b: Point) -> list[Point] | None:
    """Two rings as one without their shared side from ``a`` to ``b``; None if not convex."""
    start = one.index(b)
    first = one[start:] + one[:start]
    start = two.index(a)
    second = two[start:] + two[:start]
    ring = first[:-1] + second[:-1]
    for corner in (0, len(first) - 1):
        before, here, after = (ring[(corner + n) % len(ring)] for n in (-1, 0, 1))
        cross = (here[0] - before[0]) * (after[1] - here[1])
        cross -= (here[1] - before[1]) * (after[0] - here[0])
        if cross < _LEAST_CROSS:
            return None
    return ring


def parting(one: Part, two: Part, shift: Numbers) -> tuple[float, Numbers]:
    """The direction in which two parts are farthest apart, or overlap least.

    Args:
        one: a part.
        two: another, moved by ``shift`` relative to the first.
        shift: mm, shape (2,).

    Returns:
        Their distance along the direction, negative where they overlap, and the unit vector
        from the first to the second.
    """
    normals = np.concatenate([one.normals, -two.normals])
    reach = (one.points @ normals.T).max(axis=0) - (two.points @ normals.T).min(axis=0)
    gaps = normals @ shift - reach
    first = int(gaps.argmax())
    return float(gaps[first]), normals[first]
