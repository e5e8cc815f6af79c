"""The pixels of one region: their colour in linear light, its spread, and what spoils them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from livery.capture.linear_light import Linear
from livery.capture.photograph import Photograph
from livery.capture.pixels import (
    EMPTY,
    FULL,
    LEAST_PIXELS,
    MAD_TO_SD,
    OUTLIER,
    TILES,
    cov_of_means,
)
from livery.colour import Floats

# Pixels enough of a region; where there are four, nine... times as many, every second, third... is
# read. [source: workshop-choice]
_ENOUGH = 8000
_MEDIAN_OF = 2000  # pixels whose middle and spread are taken [source: workshop-choice]
_PARTED_OF = 4000  # pixels that are parted in two clusters [source: workshop-choice]
_STILL = 1.0  # least spread that outliers are told by, codes of 255 [source: workshop-choice]
# A camera and its file even noise out in codes, which are bent against light, and cut it off at
# black. Of what that takes, as a share of the noise's variance over the light, two areas of one
# colour lose so much more or less than one another. [source: camera-trials]
_LOST = 0.2
_DARKEST = 0.001  # light below which all is black [source: workshop-choice]
_APART = 5.0  # spreads between two clusters that make two colours [source: workshop-choice]
_LEAST_SPREAD = 1.5  # of a cluster, codes of 255 [source: workshop-choice]
_SMALLER = 0.12  # least share of the smaller cluster [source: workshop-choice]
# Percentiles of tiles taken for the darker and lighter parts, and the share of the fullest tile's
# pixels that a tile must hold. [source: workshop-choice]
_DARKER, _LIGHTER, _FULL_TILE = 5.0, 95.0, 0.5


@dataclass(frozen=True, slots=True, eq=False)
class RegionPixels:
    """What a polygon holds.

    Attributes:
        rgb: mean in linear light, full scale 1, outliers left out, shape (3,).
        cov: covariance of that mean, shape (3, 3).
        count: pixels read.
        clipped: share of pixels with a channel that is full, or that is empty.
        bright_outliers: share of pixels far brighter than the rest, as a lamp's reflex makes them.
        two_colours: share of the smaller of two distinct colours, 0 when there is one.
        uneven: how far its lighter parts are above its darker ones, as a share of their mean.
    """

    rgb: Floats
    cov: Floats
    count: int
    clipped: float
    bright_outliers: float
    two_colours: float
    uneven: float


def look_inside(photograph: Photograph, linear: Linear, polygon_px: Floats) -> RegionPixels | None:
    """Read the pixels whose centres lie inside a polygon.

    Args:
        photograph: whose pixels.
        linear: its codes to linear light.
        polygon_px: corners, shape (n, 2), simple.

    Returns:
        None when the polygon leaves the picture or holds fewer than ``LEAST_PIXELS``.
    """
    width, height = photograph.size_px
    if not np.isfinite(polygon_px).all() or polygon_px.min() < 0:
        return None
    if (polygon_px.max(axis=0) > (width - 1, height - 1)).any():
        return None
    x0, y0 = np.floor(polygon_px.min(axis=0)).astype(int)
    x1, y1 = np.ceil(polygon_px.max(axis=0)).astype(int) + 1
    step = max(1, math.floor(math.sqrt(Polygon(polygon_px).area / _ENOUGH)))
    inside = _inside(polygon_px, np.arange(x0, x1, step), np.arange(y0, y1, step))
    places = np.nonzero(inside)
    if len(places[0]) < LEAST_PIXELS:
        return None
    codes = photograph.codes[y0:y1:step, x0:x1:step][inside]
    planes = np.ascontiguousarray(codes.T)
    eight = planes.astype(np.float32) * np.float32(255.0 / photograph.full_scale)
    return _describe(eight, linear, linear.planes(planes), places)


def _inside(
    polygon_px: Floats, columns: NDArray[np.int_], rows: NDArray[np.int_]
) -> NDArray[np.bool_]:
    """Which pixels of a grid lie inside a polygon, shape (rows, columns)."""
    edges = np.roll(polygon_px, -1, axis=0) - polygon_px
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    if len(polygon_px) == 4 and ((turns > 0).all() or (turns < 0).all()):
        inside = np.ones((len(rows), len(columns)), np.bool_)
        for (x, y), (dx, dy) in zip(polygon_px, edges * np.sign(turns[0]), strict=True):
            inside &= dx * (rows[:, None] - y) > dy * (columns[None] - x)
        return inside
    shape = Polygon(polygon_px)
    shapely.prepare(shape)
    grid = np.meshgrid(columns, rows)
    return np.asarray(shapely.contains_xy(shape, grid[0], grid[1]), np.bool_)


def _describe(
    eight: NDArray[np.float32],
    linear: Linear,
    light: Floats,
    places: tuple[NDArray[np.int_], ...],
) -> RegionPixels:
    """What pixels tell.

    Args:
        eight: their codes of 255, shape (3, n).
        linear: the photograph's.
        light: theirs, shape (3, n).
        places: their rows and columns, each of shape (n,).
    """
    thinned = eight[:, :: max(1, eight.shape[1] // _MEDIAN_OF)]
    middle = np.median(thinned, axis=1, keepdims=True)
    spread = MAD_TO_SD * np.median(np.abs(thinned - middle), axis=1, keepdims=True)
    away = (eight - middle) / np.maximum(spread, _STILL)
    lowest, highest = away.min(axis=0), away.max(axis=0)
    good = (lowest >= -OUTLIER) & (highest <= OUTLIER)
    if good.sum() < LEAST_PIXELS:
        good = np.ones(len(good), dtype=np.bool_)
    kept = light[:, good]
    full, empty = eight.max(axis=0) >= FULL, eight.min(axis=0) <= EMPTY
    means, weights = _tile_means(kept, (places[0][good], places[1][good]))
    rgb = kept.mean(axis=1)
    return RegionPixels(
        rgb=rgb,
        cov=cov_of_means(means, weights) + linear.rounding_cov(rgb) + _lost_cov(kept),
        count=len(good),
        clipped=max(float(full.mean()), float(empty.mean())),
        bright_outliers=float((lowest > OUTLIER).mean()),
        two_colours=_smaller_share(eight.T.astype(np.float64)),
        uneven=_uneven(means, weights),
    )


def _lost_cov(light: Floats) -> Floats:
    """Covariance of the mean of light, shape (3, n), by what is lost of its noise, (3, 3)."""
    lost = _LOST * light.var(axis=1) / np.maximum(light.mean(axis=1), _DARKEST)
    return np.diag(lost**2)


def _tile_means(light: Floats, places: tuple[NDArray[np.int_], ...]) -> tuple[Floats, Floats]:
    """Mean light of each tile that holds pixels, and its share of them, shapes (t, 3), (t,)."""
    row, column = (
        (place - place.min()) * TILES // (place.max() - place.min() + 1) for place in places
    )
    key = row * TILES + column
    counts = np.bincount(key, minlength=TILES**2).astype(np.float64)
    used = counts > 0
    sums = [np.bincount(key, channel, TILES**2)[used] for channel in light]
    return np.stack(sums, axis=1) / counts[used, None], counts[used] / counts.sum()


def _uneven(means: Floats, weights: Floats) -> float:
    """How far lighter tiles are above darker ones, as a share of the mean of those that are full.

    Args:
        means: light of each tile, shape (t, 3).
        weights: each tile's share of the pixels, shape (t,).
    """
    full = means[weights > _FULL_TILE * weights.max()].mean(axis=1)
    low, high = np.percentile(full, (_DARKER, _LIGHTER))
    return float((high - low) / max(float(full.mean()), 1e-6))


def _smaller_share(eight: Floats) -> float:
    """Share of the smaller of two clusters along the main axis; 0 unless they stand well apart.

    Args:
        eight: pixels' codes of 255, shape (n, 3).

    Source:
        The cut that leaves the least variance within both [source: common-practice].
    """
    thinned = eight[:: max(1, len(eight) // _PARTED_OF)]
    centred = thinned - thinned.mean(axis=0)
    axis = np.linalg.eigh(centred.T @ centred)[1][:, -1]
    along = np.sort(centred @ axis)
    count = len(along)
    sums, squares = np.cumsum(along), np.cumsum(along**2)
    left = np.arange(1, count)
    within = (
        squares[:-1]
        - sums[:-1] ** 2 / left
        + (squares[-1] - squares[:-1])
        - (sums[-1] - sums[:-1]) ** 2 / (count - left)
    )
    cut = int(np.argmin(within))
    share = min(cut + 1, count - cut - 1) / count
    apart = along[cut + 1 :].mean() - along[: cut + 1].mean()
    spread = max(_LEAST_SPREAD, float(np.sqrt(max(within[cut], 0.0) / count)))
    return share if share >= _SMALLER and apart > _APART * spread else 0.0
