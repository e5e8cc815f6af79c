"""CIEDE2000, vectorised.

The mean hue's sine and cosine come from the bisector of the two hue vectors, and the weight of
hue from polynomials in them, so that one pair costs one arctangent, one exponential and one
sine. The 180° tie is decided on exact products, not on rounded angles.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.arrays import Floats, Reals, Singles, as_triples
from livery.errors import ColourError

# Workshop choices: one chunk's temporaries stay in a core's cache; fewer pairs than _THREADED
# are done before threads have started.
_CHUNK = 16384
_THREADED = 131_072
_POW25_7 = 25.0**7  # this and the angles below: sharma-2005
_TINY = 1e-30  # keeps 0 / 0 at 0 where a colour has no hue


def _hue_polynomials() -> tuple[list[float], list[float]]:
    """T as p(cos h) + sin h · q(cos h): coefficients from the highest power down.

    T = 1 − 0.17 cos(h − 30°) + 0.24 cos 2h + 0.32 cos(3h + 6°) − 0.20 cos(4h − 63°), with
    cos kh and sin kh / sin h written as Chebyshev polynomials of cos h.
    """
    angles = np.radians([0.0, -30.0, 0.0, 6.0, -63.0])
    share = np.array([1.0, -0.17, 0.24, 0.32, -0.20])
    even = np.polynomial.chebyshev.cheb2poly(share * np.cos(angles))
    second_kind = np.array([[1, 0, 0, 0], [0, 2, 0, 0], [-1, 0, 4, 0], [0, -4, 0, 8]])
    odd = -(share * np.sin(angles))[1:] @ second_kind
    return even[::-1].tolist(), odd[::-1].tolist()


_EVEN, _ODD = _hue_polynomials()
_HUE_CENTRE, _HUE_WIDTH = math.radians(275.0), math.radians(25.0)
_ROTATION = 2.0 * math.radians(30.0)


@dataclass(frozen=True, slots=True, eq=False)
class Ciede2000Terms:
    """A colour difference taken apart; the second colour minus the first, each shape (...,).

    Attributes:
        lightness, chroma, hue: ΔL', ΔC', ΔH' as they stand in the formula; a positive hue turns
            from red towards yellow.
        lightness_weighted, chroma_weighted, hue_weighted: the same over S_L, S_C, S_H.
        rotation: R_T times the weighted chroma and hue: what is left of ΔE00² beside the squares.
    """

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
    out = np.empty(shape, dtype=np.float64)
    _measure(first, second, out.reshape(-1))
    return out


def ciede2000_single(lab_1: ArrayLike, lab_2: ArrayLike) -> Singles:
    """ΔE00 in single precision, for half the work: within 1e-4 of ``ciede2000`` inside ±128.

    Nothing is checked: what is not finite gives NaN.

    Args:
        lab_1: CIELAB, shape (..., 3).
        lab_2: likewise; the two shapes broadcast but for the last axis.

    Source:
        sharma-2005
    """
    first, second = np.asarray(lab_1, dtype=np.float32), np.asarray(lab_2, dtype=np.float32)
    shape = np.broadcast_shapes(first.shape, second.shape)
    out = np.empty(shape[:-1], dtype=np.float32)
    _measure(_flat(first, shape), _flat(second, shape), out.reshape(-1))
    return out


def ciede2000_terms(lab_1: ArrayLike, lab_2: ArrayLike) -> Ciede2000Terms:
    """The terms that ΔE00 is made of, so that a verdict can say lighter, weaker or redder.

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
    out = np.empty((7, int(np.prod(shape))), dtype=np.float64)

    def work(part: slice) -> None:
        for row, term in enumerate(_weighted(_columns(first, part), _columns(second, part))):
            out[row, part] = term

    _in_chunks(out.shape[1], work)
    return Ciede2000Terms(*(row.reshape(shape) for row in out))


def _measure(first: Reals, second: Reals, out: Reals) -> None:
    def work(part: slice) -> None:
        out[part] = _length(_weighted(_columns(first, part), _columns(second, part))[3:])

    _in_chunks(out.size, work)


def _in_chunks(count: int, work: Callable[[slice], None]) -> None:
    """Do the work chunk by chunk, many at once on all cores; each writes its own slice."""
    parts = [slice(start, min(start + _CHUNK, count)) for start in range(0, count, _CHUNK)]
    if count < _THREADED:
        for part in parts:
            work(part)
        return
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for _ in pool.map(work, parts):
            pass


def _paired(lab_1: ArrayLike, lab_2: ArrayLike) -> tuple[Reals, Reals, tuple[int, ...]]:
    first, second = as_triples(lab_1, "lab_1"), as_triples(lab_2, "lab_2")
    try:
        shape = np.broadcast_shapes(first.shape, second.shape)
    except ValueError as error:
        raise ColourError(
            f"lab_1 has shape {first.shape}, lab_2 {second.shape}. They must broadcast."
        ) from error
    return _flat(first, shape), _flat(second, shape), shape[:-1]


def _flat(lab: Reals, shape: tuple[int, ...]) -> Reals:
    """As three rows: of every pair, or of the one colour that all pairs share."""
    if lab.size == 3:
        return lab.reshape(3, 1)
    return np.moveaxis(np.broadcast_to(lab, shape), -1, 0).reshape(3, -1)


def _columns(rows: Reals, part: slice) -> Reals:
    return rows if rows.shape[1] == 1 else np.ascontiguousarray(rows[:, part])


def _length(parts: tuple[Reals, ...]) -> Reals:
    lightness, chroma, hue, rotation = parts
    square = lightness * lightness + chroma * chroma + hue * hue + rotation
    return np.sqrt(np.maximum(square, 0.0))


def _chroma_share(chroma: Reals) -> Reals:
    """√(C⁷ / (C⁷ + 25⁷))."""
    square = chroma * chroma
    seventh = square * square * square * chroma
    return np.sqrt(seventh / (seventh + _POW25_7))


def _weighted(first: Reals, second: Reals) -> tuple[Reals, ...]:
    """ΔL', ΔC', ΔH', the three over their weights, and the rotation term."""
    (l_1, a_1, b_1), (l_2, a_2, b_2) = first, second
    mean = 0.5 * (np.sqrt(a_1 * a_1 + b_1 * b_1) + np.sqrt(a_2 * a_2 + b_2 * b_2))
    stretch = 1.5 - 0.5 * _chroma_share(mean)
    a_1, a_2 = a_1 * stretch, a_2 * stretch
    chroma_1, chroma_2 = np.sqrt(a_1 * a_1 + b_1 * b_1), np.sqrt(a_2 * a_2 + b_2 * b_2)
    hue, cosine, sine = _hue_geometry((a_1, b_1, chroma_1), (a_2, b_2, chroma_2))

    lightness, chroma = l_2 - l_1, chroma_2 - chroma_1
    chroma_mean = 0.5 * (chroma_1 + chroma_2)
    from_middle = 0.5 * (l_1 + l_2) - 50.0
    from_middle *= from_middle
    s_l = 1.0 + 0.015 * from_middle / np.sqrt(20.0 + from_middle)
    s_c = 1.0 + 0.045 * chroma_mean
    s_h = 1.0 + 0.015 * chroma_mean * (_horner(_EVEN, cosine) + sine * _horner(_ODD, cosine))
    angle = np.arctan2(sine, cosine)
    angle += (angle < 0.0) * (2.0 * np.pi)
    angle -= _HUE_CENTRE
    angle *= 1.0 / _HUE_WIDTH
    turn = np.sin(_ROTATION * np.exp(-angle * angle))
    weighted_chroma, weighted_hue = chroma / s_c, hue / s_h
    rotation = -2.0 * _chroma_share(chroma_mean) * turn * weighted_chroma * weighted_hue
    return lightness, chroma, hue, lightness / s_l, weighted_chroma, weighted_hue, rotation


def _horner(coefficients: Sequence[float], x: Reals) -> Reals:
    total: Reals = coefficients[0] * x
    for coefficient in coefficients[1:-1]:
        total += coefficient
        total *= x
    total += coefficients[-1]
    return total


def _hue_geometry(
    first: tuple[Reals, Reals, Reals], second: tuple[Reals, Reals, Reals]
) -> tuple[Reals, Reals, Reals]:
    """ΔH', and cosine and sine of the mean hue.

    Up to a right angle ΔH' comes from the cross product and the mean hue from the sum of the hue
    vectors; beyond it, from the dot product and from the perpendicular of their difference: so
    neither cancels. A colour without hue makes all three 0, and then the mean hue has no effect.
    """
    (a_1, b_1, chroma_1), (a_2, b_2, chroma_2) = first, second
    product = chroma_1 * chroma_2
    cross = a_1 * b_2 - a_2 * b_1
    dot = a_1 * a_2 + b_1 * b_2
    wide = dot < 0.0
    root = np.sqrt(0.5 * (product + np.abs(dot)))
    x_1, y_1, x_2, y_2 = a_1 * chroma_2, b_1 * chroma_2, a_2 * chroma_1, b_2 * chroma_1
    scale = 0.5 / np.maximum(np.sqrt(product) * root, _TINY)
    hue, cosine, sine = cross / np.maximum(root, _TINY), x_1 + x_2, y_1 + y_2
    if wide.any():  # seldom, of colours that are nearly one
        sign = _turning(cross, wide, a_1, b_1)
        hue = np.where(wide, 2.0 * sign * root, hue)
        cosine = np.where(wide, sign * (y_2 - y_1), cosine)
        sine = np.where(wide, sign * (x_1 - x_2), sine)
    return hue, cosine * scale, sine * scale


def _turning(cross: Reals, wide: NDArray[np.bool_], a_1: Reals, b_1: Reals) -> Reals:
    """1 where the second hue lies counter-clockwise of the first, else −1.

    Exactly opposite hues: the published formula turns from the smaller angle to the larger.
    """
    sign = np.copysign(1.0, cross)
    tie = wide & (cross == 0.0)
    if tie.any():
        upper = (b_1 > 0.0) | ((b_1 == 0.0) & (a_1 > 0.0))
        sign = np.where(tie, np.where(upper, 1.0, -1.0), sign)
    return sign
