"""Contours of equal ΔE00, where a tolerance ends, and ellipses of uncertainty."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour import ciede2000

Floats = NDArray[np.float64]

RADIUS_95 = math.sqrt(-2.0 * math.log(0.05))
"""Standard deviations to the edge that holds 95 % of a normal in two dimensions: exact."""

_FURTHEST = 120.0  # workshop choice: beyond any colour from any other of a print
_STEPS, _HALVINGS = 160, 40


def tolerance_contour(
    centre: ArrayLike, tolerance: float, axes: ArrayLike, points: int = 180
) -> Floats:
    """Colours at exactly the tolerance from a centre, in the plane of two axes.

    Args:
        centre: CIELAB D50/2°, shape (3,).
        tolerance: ΔE00, above zero.
        axes: two directions in CIELAB that span the plane, shape (2, 3).
        points: directions to look in.

    Returns:
        Steps along the two axes from the centre, shape (points, 2): in each direction the
        nearest place where ΔE00 reaches the tolerance.

    Raises:
        ColourError: values that are not finite.

    Source:
        [source: sharma-2005]
    """
    turn = np.linspace(0.0, math.tau, points, endpoint=False)
    ways = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    middle = np.asarray(centre, dtype=np.float64)
    steps = ways @ np.asarray(axes, dtype=np.float64)

    def reach(radius: Floats) -> Floats:
        return ciede2000(middle, middle + radius[:, None] * steps)

    radii = np.geomspace(1e-3, _FURTHEST, _STEPS)
    outside = ciede2000(middle, middle + radii[:, None, None] * steps) >= tolerance
    first = np.where(outside.any(axis=0), outside.argmax(axis=0), _STEPS - 1)
    high = radii[first]
    low = np.where(first > 0, radii[np.maximum(first - 1, 0)], 0.0)
    for _ in range(_HALVINGS):
        half = (low + high) / 2.0
        beyond = reach(half) >= tolerance
        high, low = np.where(beyond, half, high), np.where(beyond, low, half)
    contour: Floats = high[:, None] * ways
    return contour


def uncertainty_ellipse(cov: ArrayLike, axes: ArrayLike, points: int = 64) -> Floats:
    """The edge that holds 95 % of a measured colour, seen in the plane of two axes.

    Args:
        cov: covariance in CIELAB, shape (3, 3).
        axes: two directions that span the plane, orthonormal, shape (2, 3).
        points: how many.

    Returns:
        Steps along the axes from the colour, shape (points, 2).
    """
    plane = np.asarray(axes, dtype=np.float64)
    values, vectors = np.linalg.eigh(plane @ np.asarray(cov, dtype=np.float64) @ plane.T)
    turn = np.linspace(0.0, math.tau, points, endpoint=False)
    round_edge = RADIUS_95 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    ellipse: Floats = round_edge * np.sqrt(np.maximum(values, 0.0)) @ vectors.T
    return ellipse
