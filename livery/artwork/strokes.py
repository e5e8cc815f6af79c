"""Strokes widened to the regions they cover."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from livery.artwork.shapes import subpaths
from livery.geometry import Path

TOLERANCE_MM = 0.005
"""Largest distance of a widened stroke's edge from the true one (workshop choice)."""

Points = NDArray[np.float64]
Cap = Literal["flat", "round", "square"]
Join = Literal["mitre", "round", "bevel"]
CAPS: dict[str, Cap] = {"butt": "flat", "round": "round", "square": "square"}
JOINS: dict[str, Join] = {"miter": "mitre", "round": "round", "bevel": "bevel"}


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn, in user units, with SVG's names resolved."""

    width: float
    cap: Cap = "flat"
    join: Join = "mitre"
    mitre_limit: float = 4.0


def widen_stroke(path: Path, pen: Pen, tolerance: float) -> Path:
    """The region a stroked path covers, as straight-sided rings.

    Args:
        path: the line's middle, user units.
        pen: how it is drawn.
        tolerance: largest error of the region's edge, user units.

    Returns:
        The region; empty for a width of zero or a path without length.
    """
    turn = math.acos(max(0.0, 1 - tolerance / 2 / max(pen.width / 2, tolerance)))
    segments = max(4, math.ceil(math.pi / 4 / max(turn, 1e-3)))
    parts = [_widened(part, pen, tolerance / 2, segments) for part in subpaths(path)]
    region = shapely.unary_union([part for part in parts if part is not None])
    return Path.from_geometry(region)


def _widened(part: Path, pen: Pen, tolerance: float, segments: int) -> BaseGeometry | None:
    points, closed = part.flattened(tolerance)[0], part.verbs.endswith("Z")
    points = _distinct(np.vstack([points, points[:1]]) if closed else points)
    if len(points) < 2 or pen.width <= 0:
        return None
    sharp = _sharp_corners(points, closed, pen.mitre_limit) if pen.join == "mitre" else []
    returns = not closed and len(points) > 3 and np.array_equal(points[0], points[-1])
    if sharp or returns:
        return _widened_between(points, closed, sharp, pen, segments)
    ring = closed and len(points) > 3
    middle = shapely.LinearRing(points) if ring else shapely.LineString(points)
    return _buffer(middle, pen, segments, pen.cap)


def _distinct(points: Points) -> Points:
    """Points without those that repeat the one before."""
    return points[np.r_[True, np.any(np.diff(points, axis=0) != 0.0, axis=1)]]


def _buffer(line: BaseGeometry, pen: Pen, segments: int, cap: Cap) -> BaseGeometry:
    return line.buffer(
        pen.width / 2,
        quad_segs=segments,
        cap_style=cap,
        join_style=pen.join,
        mitre_limit=pen.mitre_limit,
    )


def _sharp_corners(points: Points, closed: bool, limit: float) -> list[int]:
    """Corners whose mitre would be longer than the limit: SVG bevels them.

    Source: svg-2 (13.5.5): the limit is of 1 / sin(half the angle between the two sides).
    """
    before, after = _sides(points, closed)
    half_sine = np.sqrt(np.maximum(0.0, (1.0 + (before * after).sum(axis=1)) / 2.0))
    sharp = half_sine * limit < 1.0
    if not closed:
        sharp[[0, -1]] = False
    return [int(index) for index in np.flatnonzero(sharp)]


def _sides(points: Points, closed: bool) -> tuple[Points, Points]:
    """Directions into and out of each point; a ring's last point repeats its first."""
    steps = np.diff(points, axis=0)
    steps /= np.hypot(steps[:, 0], steps[:, 1])[:, None]
    if closed:
        return np.roll(steps, 1, axis=0), steps
    return np.vstack([steps[:1], steps]), np.vstack([steps, steps[-1:]])


def _widened_between(
    points: Points, closed: bool, sharp: list[int], pen: Pen, segments: int
) -> BaseGeometry:
    """A line widened piece by piece: between sharp corners, which are bevelled, and its ends."""
    before, after = _sides(points, closed)
    radius = pen.width / 2
    parts = [_bevel(points[index], before[index], after[index], radius) for index in sharp]
    if closed:
        points = np.roll(points[:-1], -sharp[0], axis=0)
        points = np.vstack([points, points[:1]])
        sharp = [index - sharp[0] for index in sharp[1:]]
    else:
        parts += [_cap(points[0], -after[0], pen, segments)]
        parts += [_cap(points[-1], before[-1], pen, segments)]
    for start, end in pairwise([0, *sharp, len(points) - 1]):
        for piece in _open(points[start : end + 1]):
            parts.append(_buffer(shapely.LineString(piece), pen, segments, "flat"))
    return shapely.unary_union(parts)


def _open(points: Points) -> list[Points]:
    """A line that returns to its start as two that share a side: GEOS would join its ends."""
    returns = len(points) > 3 and np.array_equal(points[0], points[-1])
    return [points[:3], points[1:]] if returns else [points]


def _bevel(at: Points, before: Points, after: Points, radius: float) -> BaseGeometry:
    """The triangle that joins two sides on the outer side of their corner."""
    outer = 1.0 if before[0] * after[1] - before[1] * after[0] > 0.0 else -1.0
    corners = [at + radius * outer * np.array([side[1], -side[0]]) for side in (before, after)]
    return shapely.Polygon([at, *corners])


def _cap(at: Points, outwards: Points, pen: Pen, segments: int) -> BaseGeometry:
    """What a line's end adds."""
    if pen.cap == "round":
        return shapely.Point(at).buffer(pen.width / 2, quad_segs=segments)
    end = at + outwards * (pen.width / 2 if pen.cap == "square" else 0.0)
    return shapely.LineString([at, end]).buffer(pen.width / 2, cap_style="flat")
