"""A polygon that never lies inside the true outline: limits are checked against it."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from livery.geometry import Area, Path, cubic_weights

TOLERANCE_MM = 0.001
"""How far the envelope may stand off a curve. [source: workshop-choice]."""


@lru_cache(maxsize=4096)
def envelop(outline: Path) -> Area:
    """Enclose an outline: straight sides exactly, curves from outside within ``TOLERANCE_MM``.

    Each cubic is cut into pieces; where a piece bulges outwards, the pieces' control points
    (which enclose it, by the convex-hull property of Béziers) replace its chord.

    Args:
        outline: a decal's cut line, mm.

    Returns:
        A valid polygon that covers the filled outline.
    """
    if "C" not in outline.verbs:
        return outline.polygon()
    rings = Path("", np.empty((0, 2)), outline.rule)
    for subpath in _subpaths(outline):
        rings += Path.polyline(_enclosing_ring(subpath))
    return rings.polygon()


def _subpaths(outline: Path) -> list[list[NDArray[np.float64]]]:
    """Each subpath as its start (1, 2), then lines (2, 2) and cubics (4, 2)."""
    subpaths: list[list[NDArray[np.float64]]] = []
    current = np.zeros((1, 2))
    for verb, points in outline.commands():
        if verb == "M":
            subpaths.append([points])
        elif verb in "LC":
            subpaths[-1].append(np.concatenate([current, points]))
        current = points[-1:] if len(points) else subpaths[-1][0]
    return subpaths


def _enclosing_ring(subpath: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    pieces = [_cut(part) if len(part) == 4 else part[None] for part in subpath[1:]]
    corners = np.concatenate([subpath[0], *[piece[:, -1] for piece in pieces]])
    turning = 1.0 if _signed_area(corners) > 0 else -1.0
    ring = [subpath[0]]
    for piece in pieces:
        ring.append(_outside(piece, turning) if piece.shape[1] == 4 else piece[:, -1])
    return np.concatenate(ring)


def _cut(control: NDArray[np.float64]) -> NDArray[np.float64]:
    """Cut a cubic into equal pieces flat enough for the tolerance: shape (n, 4, 2)."""
    second = float(np.hypot(*np.abs(np.diff(control, 2, axis=0)).max(axis=0)))
    count = max(1, math.ceil(math.sqrt(1.5 * second / TOLERANCE_MM)))
    t = np.linspace(0.0, 1.0, count + 1)[:, None]
    p0, p1, p2, p3 = control
    s, (w0, w1, w2, w3) = 1.0 - t, cubic_weights(t)
    points = w0 * p0 + w1 * p1 + w2 * p2 + w3 * p3
    points[0], points[-1] = p0, p3
    slopes = 3.0 * (s**2 * (p1 - p0) + 2 * s * t * (p2 - p1) + t**2 * (p3 - p2))
    third = slopes / (3.0 * count)
    return np.stack([points[:-1], points[:-1] + third[:-1], points[1:] - third[1:], points[1:]], 1)


def _outside(pieces: NDArray[np.float64], turning: float) -> NDArray[np.float64]:
    """The pieces' control points that lie outside their chords, and their ends."""
    start, chord = pieces[:, :1], pieces[:, 3] - pieces[:, 0]
    reach = pieces[:, 1:3] - start
    side = chord[:, None, 0] * reach[..., 1] - chord[:, None, 1] * reach[..., 0]
    keep = np.ones((len(pieces), 3), dtype=bool)
    keep[:, :2] = side * turning < 0.0
    kept: NDArray[np.float64] = pieces[:, 1:][keep]
    return kept


def _signed_area(ring: NDArray[np.float64]) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2.0
