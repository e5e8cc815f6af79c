"""What a file's rounding leaves in areas that are even.

A JPEG holds luma and chroma: the means of blocks in steps of its own, and pixels, once decoded, in
whole codes. Where values spread over a step their errors average out. Where they spread by far
less all are rounded alike, and no part of an area tells of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from livery.colour import Floats

Singles = NDArray[np.float32]
# From red, green and blue to luma, blue and red chroma, and back. [source: itu-t-871]
_FROM_RGB = np.array(
    [[0.299, 0.587, 0.114], [-0.168736, -0.331264, 0.5], [0.5, -0.418688, -0.081312]]
)
TO_RGB = np.array([[1.0, 0.0, 1.402], [1.0, -0.344136, -0.714136], [1.0, 1.772, 0.0]])
# Pixels whose spread a block's mean evens out: all of a block's of luma. Of chroma files keep
# little else than blocks' means, so that pixels spread as these do. [source: camera-trials]
_OF_A_BLOCK = np.array([64.0, 1.0, 1.0])
_TERMS = np.arange(1, 8)  # of a series that falls as their squares [source: workshop-choice]
_MOST = 1.0 / 3.0  # of an area's scatter that tells of others [source: workshop-choice]
_TRIED = np.linspace(0.0, 0.5, 101)  # variances before rounding, codes² [source: workshop-choice]


def luma_chroma(codes: NDArray[np.unsignedinteger]) -> Singles:
    """Luma, blue and red chroma of pixels as a JPEG's decoder had them, whole codes.

    It rounds red, green and blue once more, by half a code at most: the whole numbers next to what
    these give are those that they were made of.

    Args:
        codes: red, green and blue of 8 bits, shape (3, ...).

    Returns:
        Shape (3, ...), chroma about 0.
    """
    planes = codes.astype(np.float32)
    return np.stack([np.rint(mixed(row, planes)) for row in _FROM_RGB])


def mixed(row: Floats, planes: Singles) -> Singles:
    """A row of a matrix times planes, shape (...), by one thread: several cost more than it does.

    Args:
        row: shape (3,).
        planes: shape (3, ...).
    """
    shares = row.astype(np.float32)
    whole: Singles = shares[0] * planes[0]
    whole += shares[1] * planes[1]
    whole += shares[2] * planes[2]
    return whole


def rounded_alike(spread: Floats, steps: tuple[float, float]) -> Floats:
    """Variance of what the mean of an even area is off by, for luma and each chroma.

    Args:
        spread: variance of the area's luma and of each chroma before rounding, codes², shape (3,).
        steps: of the means of blocks of luma and of chroma, in codes; 0 for none.

    Returns:
        Codes², shape (3,).
    """
    blocks, pixels = _in_two_stages(spread, steps)
    return blocks + common_variance(pixels, np.ones(3))


def spread_before(scatter: Floats, steps: tuple[float, float]) -> Floats:
    """Variance of luma and of each chroma before rounding, codes², from how their codes scatter.

    One area hardly tells: its codes are all alike, or two, by where they lie. Many areas do.

    Args:
        scatter: variance of the whole codes in each area, shape (areas, 3).
        steps: of the means of blocks of luma and of chroma, in codes; 0 for none.

    Returns:
        Shape (3,).

    Source:
        Over all places to lie, rounding adds a twelfth of the step's square less the variance that
        values have alike [source: widrow-2008].
    """
    mean = np.minimum(scatter, _MOST).mean(axis=0)
    _, pixels = _in_two_stages(np.repeat(_TRIED[:, None], 3, axis=1), steps)
    expected = pixels + 1.0 / 12.0 - common_variance(pixels, np.ones(3))
    return np.array([np.interp(mean[i], expected[:, i], _TRIED) for i in range(3)])


def _in_two_stages(spread: Floats, steps: tuple[float, float]) -> tuple[Floats, Floats]:
    """What blocks' means are all off by, and how pixels then spread; variances, (..., 3)."""
    step = np.array([steps[0], steps[1], steps[1]])
    blocks = common_variance(spread / _OF_A_BLOCK, step)
    return blocks, spread + step**2 / 12.0 - blocks


def common_variance(spread: Floats, step: Floats) -> Floats:
    """Variance of the error that all values have alike when they are rounded to steps.

    From a twelfth of the step's square, where the values are alike, to nothing, where they spread
    over it.

    Args:
        spread: variance of the values, shape (...).
        step: to which they are rounded, of a shape that goes with it; 0 for none.

    Returns:
        Shape (...).

    Source:
        The error's mean as a Fourier series, of which each term falls as the values' characteristic
        function [source: widrow-2008].
    """
    turns = (2.0 * np.pi * _TERMS) ** 2 / np.maximum(step, 1e-9)[..., None] ** 2
    terms = np.exp(-turns * spread[..., None]) / _TERMS**2
    variance: Floats = step**2 / (2.0 * np.pi**2) * terms.sum(axis=-1)
    return variance
