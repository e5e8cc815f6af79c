"""The pixels of all patches of a target at once: a grid of places in each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from livery.capture.linear_light import Linear
from livery.capture.model import Patch
from livery.capture.photograph import Codes, Photograph
from livery.capture.pixels import EMPTY, FULL, LEAST_PIXELS, MAD_TO_SD, OUTLIER, TILES, cov_of_means
from livery.capture.rounding import luma_chroma, spread_before
from livery.colour import Floats

_ENOUGH = 160_000  # places at which all patches together are read [source: workshop-choice]
_THINNED = 2  # of those, every second each way tells how they spread [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class PatchPixels:
    """What each patch holds; where it is not readable, nothing that means anything.

    Attributes:
        readable: it lies in the picture and has pixels enough, shape (n,).
        rgb: mean in linear light, full scale 1, outliers left out, shape (n, 3).
        cov: covariance of that mean, shape (n, 3, 3).
        clipped: share of pixels with a channel that is full, or that is empty, shape (n,).
        bright_outliers: share of pixels far brighter than the rest, shape (n,).
        linear: the file's, with what the patches tell of its even areas.
    """

    readable: NDArray[np.bool_]
    rgb: Floats
    cov: Floats
    clipped: Floats
    bright_outliers: Floats
    linear: Linear


def inner_corners(patches: Sequence[Patch], inset: float) -> Floats:
    """Corners of what is read of each patch, from top-left clockwise, mm, shape (n, 4, 2).

    Args:
        patches: of a target.
        inset: share of a patch's side left out at each edge.
    """
    share = np.array(
        [(inset, inset), (1 - inset, inset), (1 - inset, 1 - inset), (inset, 1 - inset)]
    )
    origin = np.array([(patch.x_mm, patch.y_mm) for patch in patches])
    size = np.array([(patch.w_mm, patch.h_mm) for patch in patches])
    corners: Floats = origin[:, None] + share * size[:, None]
    return corners


def read_patches(photograph: Photograph, linear: Linear, outlines_px: Floats) -> PatchPixels:
    """Read patches of one colour each.

    Args:
        photograph: whose pixels.
        linear: its codes to linear light.
        outlines_px: the corners of each, shape (n, 4, 2), convex.
    """
    readable = _readable(photograph, outlines_px)
    codes = _codes(photograph, outlines_px)
    unit = photograph.full_scale / 255.0
    good, bright = _outliers(codes, unit)
    good[good.sum(axis=(1, 2)) < LEAST_PIXELS] = True
    means, weights = _tiles(linear.planes(codes), good)
    full = np.maximum.reduce(codes) >= FULL * unit
    empty = np.minimum.reduce(codes) <= EMPTY * unit
    rgb = (weights[..., None] * means).sum(axis=1)
    if linear.steps is not None and readable.any():
        scatter = _scatter(codes[:, readable], good[readable])
        linear = replace(linear, spread=spread_before(scatter, linear.steps))
    return PatchPixels(
        readable,
        rgb,
        cov_of_means(means, weights) + linear.rounding_cov(rgb),
        np.maximum(full.mean(axis=(1, 2)), empty.mean(axis=(1, 2))),
        bright.mean(axis=(1, 2)),
        linear,
    )


def _readable(photograph: Photograph, outlines_px: Floats) -> NDArray[np.bool_]:
    """Whether an outline lies in the picture and holds pixels enough."""
    finite = np.isfinite(outlines_px).all(axis=(1, 2))
    inside = (outlines_px >= 0).all(axis=(1, 2))
    inside &= (outlines_px <= np.array(photograph.size_px) - 1).all(axis=(1, 2))
    return np.asarray(finite & inside & (_areas(outlines_px) >= LEAST_PIXELS), np.bool_)


def _areas(outlines_px: Floats) -> Floats:
    """Of four-cornered outlines, shape (n, 4, 2); px², shape (n,)."""
    across, along = (outlines_px[:, i + 2] - outlines_px[:, i] for i in (0, 1))
    return np.asarray(np.abs(across[:, 0] * along[:, 1] - across[:, 1] * along[:, 0]) / 2.0)


def _codes(photograph: Photograph, outlines_px: Floats) -> Codes:
    """The pixels at a grid in each outline, shape (3, n, side, side)."""
    area = np.nan_to_num(np.median(_areas(outlines_px)), posinf=0.0)
    side = TILES * max(1, int(np.sqrt(min(area, _ENOUGH / len(outlines_px)))) // TILES)
    share = (np.arange(side) + 0.5) / side
    y, x = (part.ravel() for part in np.meshgrid(share, share, indexing="ij"))
    corners = np.stack([(1 - x) * (1 - y), x * (1 - y), x * y, (1 - x) * y], axis=1)
    width, height = photograph.size_px
    places = np.nan_to_num(np.rint(corners @ outlines_px), posinf=0, neginf=0)
    places = np.clip(places, 0, (width - 1, height - 1)).astype(np.intp)
    pixels = photograph.codes.reshape(-1, 3).take(places[..., 1] * width + places[..., 0], axis=0)
    return np.ascontiguousarray(pixels.reshape(-1, 3).T).reshape(3, -1, side, side)


def _outliers(codes: Codes, unit: float) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which pixels lie with the rest of their patch, and which are brighter.

    Args:
        codes: shape (3, n, side, side).
        unit: a 255th of the full code.

    Returns:
        Both of shape (n, side, side).
    """
    flat = codes[:, :, ::_THINNED, ::_THINNED].reshape(*codes.shape[:2], -1)
    middle = np.median(flat, axis=2, keepdims=True)
    spread = MAD_TO_SD * np.median(np.abs(flat - middle), axis=2, keepdims=True)
    reach = OUTLIER * np.maximum(spread, unit)
    low, high = ((middle + way * reach)[..., None] for way in (-1, 1))
    good = np.logical_and.reduce((codes >= low) & (codes <= high))
    return good, np.logical_and.reduce(codes > high)


def _scatter(codes: Codes, good: NDArray[np.bool_]) -> Floats:
    """Variance of luma and of each chroma in each patch, codes², shape (n, 3)."""
    kept = good[:, ::_THINNED, ::_THINNED]
    held = luma_chroma(codes[:, :, ::_THINNED, ::_THINNED])
    away = held - held.mean(axis=(2, 3), keepdims=True)
    count = np.maximum(kept.sum(axis=(1, 2)), 1)
    mean, square = ((part * kept).sum(axis=(2, 3)) / count for part in (away, away**2))
    return np.asarray((square - mean**2).T, np.float64)


def _tiles(light: Floats, good: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """Mean light of each tile, shape (n, tiles, 3), and its share of the good pixels, (n, tiles).

    Args:
        light: shape (3, n, side, side).
        good: which pixels count, shape (n, side, side).
    """
    counts = _tile_sums(good)
    sums = np.stack([_tile_sums(channel * good) for channel in light], axis=2)
    shares = counts / counts.sum(axis=1, keepdims=True)
    return sums / np.maximum(counts, 1)[..., None], shares


def _tile_sums(field: NDArray[Any]) -> Floats:
    """Sums over each tile, shape (n, tiles)."""
    count, side = field.shape[:2]
    rows = field.reshape(count, TILES, side // TILES, side).sum(axis=2)
    sums = rows.reshape(count, TILES, TILES, side // TILES).sum(axis=3)
    return np.asarray(sums.reshape(count, -1), np.float64)
