"""Strokes widened to the regions they cover."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from livery.artwork.shapes import subpaths
from livery.geometry import Path

TOLERANCE_MM = 0.005
"""Largest distance of a widened stroke's edge from the true one (workshop choice)."""

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
    points = part.flattened(tolerance)[0]
    line = shapely.LineString(points) if len(points) > 1 else None
    if line is None or line.length == 0 or pen.width <= 0:
        return None
    middle = shapely.LinearRing(points) if part.verbs.endswith("Z") and len(points) > 3 else line
    return middle.buffer(
        pen.width / 2,
        quad_segs=segments,
        cap_style=pen.cap,
        join_style=pen.join,
        mitre_limit=pen.mitre_limit,
    )
