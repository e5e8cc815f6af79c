"""CIELAB to and from tristimulus values, and adaptation from one white to another.

XYZ is scaled so that a perfect white has Y = 1.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.errors import ColourError

# CIE illuminants D50 and D65 for the 2° observer. Source: astm-e308
WHITE_D50 = (0.96422, 1.0, 0.82521)
WHITE_D65 = (0.95047, 1.0, 1.08883)
# The profile connection space's white. Source: icc-1
WHITE_PCS = (0.9642, 1.0, 0.8249)

# The exact rational constants of CIELAB. Source: cie-15
_EDGE = 6.0 / 29.0
_SLOPE = 1.0 / (3.0 * _EDGE * _EDGE)
_OFFSET = 4.0 / 29.0
# Source: bradford
_CONES = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])

SURFACES = "L* of −1 to 110, a* and b* within ±150"
"""What an instrument may read on a surface, D50: noise goes a little below black, a fluorescent
ink above white. Source: workshop-choice"""


def is_surface(lab: ArrayLike) -> bool:
    """Whether L*, a* and b* can be a surface's: ``SURFACES``."""
    lightness, a, b = np.asarray(lab, dtype=np.float64)
    return bool(-1.0 <= lightness <= 110.0 and abs(a) <= 150.0 and abs(b) <= 150.0)


def _white(values: ArrayLike) -> Floats:
    white = as_triples(values, "white")
    if white.min() <= 0.0:
        raise ColourError(f"white {white}: every tristimulus value of a white is above zero.")
    return white


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = WHITE_D50) -> Floats:
    """Tristimulus values to CIELAB.

    Args:
        xyz: shape (..., 3), Y = 1 for a perfect white.
        white: XYZ of the white, shape (3,) or one that broadcasts; D50/2° by default.

    Returns:
        L*, a*, b*, shape (..., 3).

    Raises:
        ColourError: wrong shape, not finite, or a white that is not above zero.

    Source:
        cie-15
    """
    ratio = as_triples(xyz, "xyz") / _white(white)
    f = np.where(ratio > _EDGE**3, np.cbrt(ratio), _SLOPE * ratio + _OFFSET)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)], axis=-1)


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = WHITE_D50) -> Floats:
    """CIELAB to tristimulus values.

    Args:
        lab: shape (..., 3).
        white: XYZ of the white; D50/2° by default.

    Returns:
        X, Y, Z, shape (..., 3), Y = 1 for a perfect white.

    Raises:
        ColourError: wrong shape, not finite, or a white that is not above zero.

    Source:
        cie-15
    """
    values = as_triples(lab, "lab")
    y = (values[..., 0] + 16.0) / 116.0
    f = np.stack([y + values[..., 1] / 500.0, y, y - values[..., 2] / 200.0], axis=-1)
    return np.where(f > _EDGE, f**3, (f - _OFFSET) / _SLOPE) * _white(white)


def adaptation_matrix(white_from: ArrayLike, white_to: ArrayLike) -> Floats:
    """Bradford's linear adaptation as a matrix on XYZ columns, shape (3, 3).

    Raises:
        ColourError: a white that is not three finite values above zero.

    Source:
        bradford
    """
    cones_from, cones_to = _CONES @ _white(white_from), _CONES @ _white(white_to)
    matrix: Floats = np.linalg.solve(_CONES, (cones_to / cones_from)[:, None] * _CONES)
    return matrix


def adapt(xyz: ArrayLike, white_from: ArrayLike, white_to: ArrayLike) -> Floats:
    """XYZ seen under one white to corresponding XYZ under another, by Bradford's transform.

    Args:
        xyz: shape (..., 3).
        white_from: XYZ of the white they were seen under, shape (3,).
        white_to: XYZ of the white wanted, shape (3,).

    Returns:
        XYZ, shape (..., 3).

    Raises:
        ColourError: wrong shape, not finite, or a white that is not above zero.

    Source:
        bradford
    """
    adapted: Floats = as_triples(xyz, "xyz") @ adaptation_matrix(white_from, white_to).T
    return adapted
