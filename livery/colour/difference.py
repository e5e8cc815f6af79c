"""CIEDE2000, vectorised.

The mean hue's sine and cosine come from the bisector of the two hue vectors, and its multiples
from the angle-sum identities, so that one pair costs one arctangent, one exponential and one
sine. The 180° tie is decided on exact products, not on rounded angles.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.errors import ColourError

_CHUNK = 8192  # workshop choice: the temporaries of one chunk stay in a core's cache
_POW25_7 = 25.0**7
_COS_30, _SIN_30 = np.cos(np.radians(30.0)), np.sin(np.radians(30.0))
_COS_6, _SIN_6 = np.cos(np.radians(6.0)), np.sin(np.radians(6.0))
_COS_63, _SIN_63 = np.cos(np.radians(63.0)), np.sin(np.radians(63.0))
_HUE_CENTRE, _HUE_WIDTH = np.radians(275.0), np.radians(25.0)
_ROTATION = 2.0 * np.radians(30.0)


@dataclass(frozen=True, slots=True, eq=False)
class Ciede2000Terms:
    """A colour difference taken apart; the second colour minus the first, each shape (...,).

    Attributes:
        delta_e: ΔE00.
        lightness, chroma, hue: ΔL', ΔC', ΔH' as they stand in the formula; a positive hue turns
            from red towards yellow.
        lightness_weighted, chroma_weighted, hue_weighted: the same over S_L, S_C, S_H.
        rotation: R_T times the weighted chroma and hue: what is left of ΔE00² beside the squares.
    """

    delta_e: Floats
    lightness: Floats
    chroma: Floats
    hue: Floats
    lightness_weighted: Floats
    chroma_weighted: Floats
    hue_weighted: Floats
    rotation: Floats


def ciede2000(lab_1: ArrayLike, lab_2: ArrayLike) -> Floats:
    """ΔE00 with k_L = k_C = k_H = 1.

    Args:
        lab_1: CIELAB under one white (D50/2° throughout livery), shape (..., 3).
        lab_2: likewise; the two shapes broadcast but for the last axis.

    Returns:
        ΔE00, shape of the broadcast without the last axis.

    Raises:
        ColourError: wrong or unlike shapes, or values that are not finite.

    Source:
        sharma-2005
    """
    first, second, shape = _paired(lab_1, lab_2)
    out = np.empty(int(np.prod(shape)), dtype=np.float64)
    for start in range(0, out.size, _CHUNK):
        stop = min(start + _CHUNK, out.size)
        parts = _weighted(_columns(first, start, stop), _columns(second, start, stop))
        out[start:stop] = _length(parts[3:])
    return out.reshape(shape)


def ciede2000_terms(lab_1: ArrayLike, lab_2: ArrayLike) -> Ciede2000Terms:
    """ΔE00 with the terms it is made of, so that a verdict can say lighter, weaker or redder.

    Args:
        lab_1: CIELAB of the reference, shape (..., 3).
        lab_2: CIELAB of the sample; the shapes broadcast but for the last axis.

    Returns:
        The terms, sample minus reference.

    Raises:
        ColourError: wrong or unlike shapes, or values that are not finite.

    Source:
        sharma-2005
    """
    first, second, shape = _paired(lab_1, lab_2)
    out = np.empty((8, int(np.prod(shape))), dtype=np.float64)
    for start in range(0, out.shape[1], _CHUNK):
        stop = min(start + _CHUNK, out.shape[1])
        parts = _weighted(_columns(first, start, stop), _columns(second, start, stop))
        out[0, start:stop] = _length(parts[3:])
        for row, part in enumerate(parts, start=1):
            out[row, start:stop] = part
    return Ciede2000Terms(*(row.reshape(shape) for row in out))


def _paired(lab_1: ArrayLike, lab_2: ArrayLike) -> tuple[Floats, Floats, tuple[int, ...]]:
    first, second = as_triples(lab_1, "lab_1"), as_triples(lab_2, "lab_2")
    try:
        shape = np.broadcast_shapes(first.shape, second.shape)
    except ValueError as error:
        raise ColourError(
            f"lab_1 has shape {first.shape}, lab_2 {second.shape}. They must broadcast."
        ) from error
    return _flat(first, shape), _flat(second, shape), shape[:-1]


def _flat(lab: Floats, shape: tuple[int, ...]) -> Floats:
    """As rows of three: every pair's, or the one row that all pairs share."""
    return lab.reshape(1, 3) if lab.size == 3 else np.broadcast_to(lab, shape).reshape(-1, 3)


def _columns(lab: Floats, start: int, stop: int) -> Floats:
    rows = lab if lab.shape[0] == 1 else lab[start:stop]
    return np.ascontiguousarray(rows.T)


def _length(parts: tuple[Floats, ...]) -> Floats:
    lightness, chroma, hue, rotation = parts
    square = lightness * lightness + chroma * chroma + hue * hue + rotation
    return np.sqrt(np.maximum(square, 0.0))


def _chroma_share(chroma: Floats) -> Floats:
    """√(C⁷ / (C⁷ + 25⁷))."""
    square = chroma * chroma
    seventh = square * square * square * chroma
    return np.sqrt(seventh / (seventh + _POW25_7))


def _weighted(first: Floats, second: Floats) -> tuple[Floats, ...]:
    """ΔL', ΔC', ΔH', the three over their weights, and the rotation term."""
    (l_1, a_1, b_1), (l_2, a_2, b_2) = first, second
    mean = 0.5 * (np.sqrt(a_1 * a_1 + b_1 * b_1) + np.sqrt(a_2 * a_2 + b_2 * b_2))
    stretch = 1.5 - 0.5 * _chroma_share(mean)
    a_1, a_2 = a_1 * stretch, a_2 * stretch
    chroma_1, chroma_2 = np.sqrt(a_1 * a_1 + b_1 * b_1), np.sqrt(a_2 * a_2 + b_2 * b_2)
    half_chord, cosine, sine = _hue_geometry((a_1, b_1, chroma_1), (a_2, b_2, chroma_2))

    lightness, chroma = l_2 - l_1, chroma_2 - chroma_1
    hue = 2.0 * np.sqrt(chroma_1 * chroma_2) * half_chord
    chroma_mean = 0.5 * (chroma_1 + chroma_2)
    from_middle = 0.5 * (l_1 + l_2) - 50.0
    from_middle *= from_middle
    s_l = 1.0 + 0.015 * from_middle / np.sqrt(20.0 + from_middle)
    s_c = 1.0 + 0.045 * chroma_mean
    s_h = 1.0 + 0.015 * chroma_mean * _hue_weight(cosine, sine)
    angle = np.arctan2(sine, cosine)
    angle += (angle < 0.0) * (2.0 * np.pi)
    off_blue = (angle - _HUE_CENTRE) / _HUE_WIDTH
    turn = np.sin(_ROTATION * np.exp(-off_blue * off_blue))
    weighted_chroma, weighted_hue = chroma / s_c, hue / s_h
    rotation = -2.0 * _chroma_share(chroma_mean) * turn * weighted_chroma * weighted_hue
    return lightness, chroma, hue, lightness / s_l, weighted_chroma, weighted_hue, rotation


def _hue_weight(cosine: Floats, sine: Floats) -> Floats:
    """T, from the mean hue's cosine and sine."""
    cosine_2, sine_2 = cosine * cosine - sine * sine, 2.0 * cosine * sine
    cosine_3 = cosine * cosine_2 - sine * sine_2
    sine_3 = sine * cosine_2 + cosine * sine_2
    cosine_4, sine_4 = cosine_2 * cosine_2 - sine_2 * sine_2, 2.0 * cosine_2 * sine_2
    weight: Floats = (
        1.0
        - 0.17 * (cosine * _COS_30 + sine * _SIN_30)
        + 0.24 * cosine_2
        + 0.32 * (cosine_3 * _COS_6 - sine_3 * _SIN_6)
        - 0.20 * (cosine_4 * _COS_63 + sine_4 * _SIN_63)
    )
    return weight


def _hue_geometry(
    first: tuple[Floats, Floats, Floats], second: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """Sine of half the hue difference, and cosine and sine of the mean hue.

    Where a colour has no hue the difference is 0 and the mean is the other's hue, as published.
    """
    (a_1, b_1, chroma_1), (a_2, b_2, chroma_2) = first, second
    scale_1 = 1.0 / np.where(chroma_1 == 0.0, 1.0, chroma_1)
    scale_2 = 1.0 / np.where(chroma_2 == 0.0, 1.0, chroma_2)
    x_1, y_1, x_2, y_2 = a_1 * scale_1, b_1 * scale_1, a_2 * scale_2, b_2 * scale_2
    cross = a_1 * b_2 - a_2 * b_1
    upper = (b_1 > 0.0) | ((b_1 == 0.0) & (a_1 > 0.0))
    # Exactly opposite hues: the published formula turns from the smaller angle to the larger.
    sign = np.where(cross == 0.0, np.where(upper, 1.0, -1.0), np.sign(cross))
    chord_x, chord_y = x_2 - x_1, y_2 - y_1
    wide = a_1 * a_2 + b_1 * b_2 < 0.0
    mean_x = np.where(wide, sign * chord_y, x_1 + x_2)
    mean_y = np.where(wide, -sign * chord_x, y_1 + y_2)
    length = np.sqrt(mean_x * mean_x + mean_y * mean_y)
    length = np.where(length == 0.0, 1.0, length)
    half_chord = 0.5 * sign * np.sqrt(chord_x * chord_x + chord_y * chord_y)
    return half_chord, mean_x / length, mean_y / length
