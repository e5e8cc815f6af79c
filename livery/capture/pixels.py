"""The pixels inside a polygon: their colour in linear light, its spread, and what spoils them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from livery.capture.photograph import Codes, Photograph
from livery.colour import decode_srgb, read_rgb_profile
from livery.errors import ColourError, Fault, PhotographError

Floats = NDArray[np.float64]
# Codes of 255 that are no evidence: above, the sensor or the file is full; below, empty.
FULL, EMPTY = 250, 1  # [source: camera-trials]
# Pixels enough of a region and of a patch; of a larger area every second, third... is read.
# [source: workshop-choice]
_ENOUGH, _ENOUGH_OF_PATCH = 8000, 1600
_TILES = 5  # tiles a side, whose means tell the spread of the mean [source: workshop-choice]
_FAR = 4.5  # robust standard deviations that make an outlier [source: workshop-choice]
_APART = 5.0  # spreads between two clusters that make two colours [source: workshop-choice]
_SMALLER = 0.12  # least share of the smaller cluster [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Pixels:
    """What a polygon holds.

    Attributes:
        rgb: mean in linear light, full scale 1, outliers left out, shape (3,).
        cov: covariance of that mean, shape (3, 3).
        count: pixels read.
        full, empty: shares of pixels with a channel that is full or empty.
        bright_outliers: share of pixels far brighter than the rest, as a lamp's reflex makes them.
        two_colours: share of the smaller of two distinct colours, 0 when there is one.
        uneven: how far its lighter parts are above its darker ones, as a share of their mean.
    """

    rgb: Floats
    cov: Floats
    count: int
    full: float
    empty: float
    bright_outliers: float
    two_colours: float
    uneven: float

    @property
    def clipped(self) -> float:
        """Share of pixels that are no evidence for being full or empty."""
        return max(self.full, self.empty)


Linear = Callable[[Codes], Floats]


def linear_of(photograph: Photograph) -> Linear:
    """The function from the photograph's codes to linear light in its own primaries.

    Raises:
        PhotographError: it carries a profile that cannot be used.
    """
    levels = np.arange(int(photograph.full_scale) + 1) / photograph.full_scale
    grey = np.repeat(levels[:, None], 3, axis=1)
    try:
        table = (
            decode_srgb(grey)
            if photograph.profile is None
            else read_rgb_profile(photograph.profile).linearise(grey)
        )
    except ColourError as error:
        mend = "Export the photograph as sRGB, Display P3 or Adobe RGB."
        raise PhotographError(Fault(photograph.path, "", None, str(error), mend)) from error

    def linear(codes: Codes) -> Floats:
        return np.stack([table[codes[..., i], i] for i in range(3)], axis=-1)

    return linear


def look_inside(
    photograph: Photograph, linear: Linear, polygon_px: Floats, *, is_patch: bool = False
) -> Pixels | None:
    """Read the pixels whose centres lie inside a polygon.

    Args:
        photograph: whose pixels.
        linear: its codes to linear light.
        polygon_px: corners, shape (n, 2), simple.
        is_patch: it is printed in one colour, so fewer pixels do, and two are not looked for.

    Returns:
        None when the polygon leaves the picture or holds fewer than 12 pixels.
    """
    width, height = photograph.size_px
    if not np.isfinite(polygon_px).all() or polygon_px.min() < 0:
        return None
    if (polygon_px.max(axis=0) > (width - 1, height - 1)).any():
        return None
    x0, y0 = np.floor(polygon_px.min(axis=0)).astype(int)
    x1, y1 = np.ceil(polygon_px.max(axis=0)).astype(int) + 1
    shape = Polygon(polygon_px)
    enough = _ENOUGH_OF_PATCH if is_patch else _ENOUGH
    step = max(1, math.ceil(math.sqrt(shape.area / enough)))
    rows, columns = np.mgrid[y0:y1:step, x0:x1:step]
    shapely.prepare(shape)
    inside = shapely.contains_xy(shape, columns.ravel(), rows.ravel())
    if inside.sum() < 12:
        return None
    codes = photograph.codes[y0:y1:step, x0:x1:step].reshape(-1, 3)[inside]
    places = np.stack([columns.ravel()[inside], rows.ravel()[inside]], axis=1)
    eight: Floats = np.asarray(codes, np.float64) * (255.0 / photograph.full_scale)
    return _describe(eight, linear(codes), places, 0.0 if is_patch else _two_colours(eight))


def _describe(eight: Floats, light: Floats, places: NDArray[np.int_], two_colours: float) -> Pixels:
    middle = np.median(eight, axis=0)
    spread = np.maximum(1.4826 * np.median(np.abs(eight - middle), axis=0), 1.0)
    away = (eight - middle) / spread
    good = np.asarray((np.abs(away) <= _FAR).all(axis=1), np.bool_)
    if good.sum() < 12:
        good = np.ones(len(eight), dtype=np.bool_)
    means, weights = _tile_means(light[good], places[good])
    return Pixels(
        rgb=light[good].mean(axis=0),
        cov=_cov_of_mean(means, weights),
        count=len(eight),
        full=float((eight >= FULL).any(axis=1).mean()),
        empty=float((eight <= EMPTY).any(axis=1).mean()),
        bright_outliers=float((away.min(axis=1) > _FAR).mean()),
        two_colours=two_colours,
        uneven=_uneven(means, weights),
    )


def _tile_means(light: Floats, places: NDArray[np.int_]) -> tuple[Floats, Floats]:
    """Mean light of each tile that holds pixels, and its share of them, shapes (t, 3), (t,)."""
    low, high = places.min(axis=0), places.max(axis=0) + 1
    tile = (places - low) * _TILES // (high - low)
    key = tile[:, 1] * _TILES + tile[:, 0]
    counts = np.bincount(key, minlength=_TILES**2).astype(np.float64)
    used = counts > 0
    sums = [np.bincount(key, light[:, i], _TILES**2)[used] for i in range(3)]
    return np.stack(sums, axis=1) / counts[used, None], counts[used] / counts.sum()


def _cov_of_mean(means: Floats, weights: Floats) -> Floats:
    """From the means of tiles: neighbouring pixels are no independent witnesses."""
    centred = means - weights @ means
    cov: Floats = (centred * weights[:, None] ** 2).T @ centred
    return cov / max(1e-9, 1.0 - float((weights**2).sum()))


def _uneven(means: Floats, weights: Floats) -> float:
    full = means[weights > 0.5 * weights.max()].mean(axis=1)
    low, high = np.percentile(full, (5.0, 95.0))
    return float((high - low) / max(float(full.mean()), 1e-6))


def _two_colours(eight: Floats) -> float:
    """Share of the smaller of two clusters along the main axis, if they stand well apart."""
    thinned = eight[:: max(1, len(eight) // 4000)]
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
    spread = max(1.5, float(np.sqrt(max(within[cut], 0.0) / count)))
    return share if share >= _SMALLER and apart > _APART * spread else 0.0
