"""sRGB: for pictures people look at, and for photographs that say they are sRGB."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.arrays import Floats, as_triples
from livery.colour.cielab import WHITE_D50, adaptation_matrix, lab_to_xyz

# Primaries and white of sRGB, x and y. Source: iec-61966-2-1
_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))
_WHITE_XY = (0.3127, 0.3290)


def rgb_to_xyz_matrix(
    primaries: tuple[tuple[float, float], ...], white_xy: tuple[float, float]
) -> Floats:
    """The matrix from linear RGB (1, 1, 1 = white, Y = 1) to XYZ under the same white.

    Source:
        rgb-primaries
    """
    columns = np.array([[x / y, 1.0, (1.0 - x - y) / y] for x, y in primaries]).T
    x, y = white_xy
    scale = np.linalg.solve(columns, np.array([x / y, 1.0, (1.0 - x - y) / y]))
    matrix: Floats = columns * scale
    return matrix


_TO_XYZ = rgb_to_xyz_matrix(_PRIMARIES, _WHITE_XY)
_WHITE = _TO_XYZ.sum(axis=1)


def xyz_to_srgb_linear(xyz: ArrayLike, white: ArrayLike = WHITE_D50) -> Floats:
    """XYZ seen under ``white`` to linear sRGB, not clipped.

    Args:
        xyz: shape (..., 3), Y = 1 for white.
        white: XYZ of the white they are seen under; D50/2° by default.

    Returns:
        Linear R, G, B; 0..1 inside the gamut, shape (..., 3).

    Raises:
        ColourError: wrong shape or not finite.

    Source:
        iec-61966-2-1, bradford
    """
    matrix = np.linalg.solve(_TO_XYZ, adaptation_matrix(white, _WHITE))
    linear: Floats = as_triples(xyz, "xyz") @ matrix.T
    return linear


def encode_srgb(linear: ArrayLike) -> Floats:
    """Linear light to sRGB code values, any shape, 0..1; values outside keep their sign.

    Source:
        iec-61966-2-1
    """
    values = np.asarray(linear, dtype=np.float64)
    size = np.abs(values)
    curve = 1.055 * np.maximum(size, 0.0031308) ** (1.0 / 2.4) - 0.055
    encoded: Floats = np.copysign(np.where(size <= 0.0031308, 12.92 * size, curve), values)
    return encoded


def decode_srgb(encoded: ArrayLike) -> Floats:
    """From sRGB code values 0..1 to linear light, any shape; values outside keep their sign.

    Source:
        iec-61966-2-1
    """
    values = np.asarray(encoded, dtype=np.float64)
    size = np.abs(values)
    linear: Floats = np.copysign(
        np.where(size <= 0.04045, size / 12.92, ((size + 0.055) / 1.055) ** 2.4), values
    )
    return linear


def lab_to_srgb8(lab: ArrayLike) -> NDArray[np.uint8]:
    """CIELAB D50/2° to 8-bit sRGB for pictures; colours outside the gamut are clipped.

    Args:
        lab: shape (..., 3).

    Returns:
        R, G, B, 0..255, shape (..., 3).

    Raises:
        ColourError: wrong shape or not finite.
    """
    linear = np.clip(xyz_to_srgb_linear(lab_to_xyz(lab)), 0.0, 1.0)
    return np.rint(encode_srgb(linear) * 255.0).astype(np.uint8)
