"""Laying a decal's artwork over its picture, to a fraction of a pixel.

The artwork says which ink covers what, the picture which colour each ink has: both are solved
for together, so that neither light nor a print off its aim moves the result.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.decal_raster import DecalRaster
from livery.capture.pixels import MAD_TO_SD
from livery.capture.rectified import Rectified
from livery.colour import Floats, lab_to_xyz, xyz_to_lab
from livery.geometry import Affine

Image = NDArray[np.float32]
# Every figure: [source: workshop-choice]
_ROUNDS = 14  # of moving the artwork, at most
_SETTLED_MM = 0.002  # a move that ends them
_ARM_MM = 30.0  # from the middle of a decal, where its turn is told as a move
_PRIOR_PX = 30.0  # pixels that an ink's aim counts for
_AROUND_MM = 1.5  # beyond the cut that is compared too
_BLURS_PX = (0.4, 0.8, 1.2, 1.7, 2.4)  # how soft the camera may have seen it
_CHOOSES_BLUR = 2  # rounds before the softness is chosen
_DARK = 0.05  # of white, below which errors count alike
_BLOCK_MM = 3.0  # nearer pixels are no independent witnesses
_OUTLIER = 3.0  # robust standard deviations from which a pixel counts less
_CALM_DE = 0.5  # colour difference (ΔE*ab) that every pixel may be off by
_HELD = 1e-9  # of the normal matrix's diagonal, for artwork that tells of no move
_MOST_STEP = 1.0  # mm, rad or share that one round may move by


@dataclass(frozen=True, slots=True, eq=False)
class Registration:
    """Where a decal's picture lies.

    Attributes:
        affine: the decal's frame to the target's, mm.
        cov: of (x mm, y mm, turn rad, stretch across, stretch along) in the decal's frame, shape
            (5, 5).
        seen, model: the picture in the decal's frame and the artwork in those colours, Lab, shape
            (height, width, 3).
        likeness: correlation of picture and artwork in its aims, -1 to 1.
    """

    affine: Affine
    cov: Floats
    seen: Image
    model: Image
    likeness: float


def register(
    picture: Rectified, raster: DecalRaster, start: Affine, surround: Floats
) -> Registration:
    """Refine where a decal lies.

    Args:
        picture: rectified.
        raster: the artwork.
        start: the decal's frame to the target's, within about 2 mm and 4°.
        surround: Lab of what lies round the decal, shape (3,).

    Source:
        Gauss and Newton's steps on errors that count less the larger they are
        [source: common-practice].
    """
    aims, mask = lab_to_xyz(raster.with_surround(surround)), _compared(raster)
    affine, weights, blur = start, mask, _BLURS_PX[1]
    cover = _softened(raster.cover, blur)
    for number in range(_ROUNDS):
        light, seen = _sample(picture, raster, affine)
        if number == _CHOOSES_BLUR:
            cover = _best_blur(raster.cover, light, seen, weights, aims)
        model = _as_lab(cover, _fit_colours(cover, light, weights, aims))
        left = seen - model
        weights = mask * _trust(left, mask)
        slopes = _slopes(model, raster)
        normal, pull = _normal(slopes, left, weights)
        step = np.linalg.solve(normal + _HELD * np.eye(5), pull)
        step = np.clip(step, -_MOST_STEP, _MOST_STEP)
        affine = affine @ _warp(step).inverse()
        moved_mm = max(math.hypot(step[0], step[1]), abs(step[2]) * _ARM_MM)
        if moved_mm < _SETTLED_MM and number > _CHOOSES_BLUR:
            break
    light, seen = _sample(picture, raster, affine)
    model = _as_lab(cover, _fit_colours(cover, light, weights, aims))
    cov = _sandwich(slopes, seen - model, weights, normal, raster.px_per_mm)
    like = _likeness(seen, _as_lab(cover, aims), mask)
    return Registration(affine, cov, seen, model, like)


def _compared(raster: DecalRaster) -> Floats:
    """1 where the picture is compared with the artwork, 0 elsewhere, shape (height, width)."""
    import cv2

    around = 2 * round(_AROUND_MM * raster.px_per_mm) + 1
    near = cv2.dilate(raster.inside, np.ones((around, around), np.uint8))
    return np.asarray(near, np.float64)


def _softened(cover: Image, blur_px: float) -> Image:
    """Shares of each ink, shape (height, width, colours), blurred by a standard deviation."""
    import cv2

    return np.asarray(cv2.GaussianBlur(cover, (0, 0), blur_px), np.float32).reshape(cover.shape)


def _best_blur(cover: Image, light: Image, seen: Image, weights: Floats, aims: Floats) -> Image:
    """The artwork as soft as the camera saw it."""
    tried = []
    for blur in _BLURS_PX:
        soft = _softened(cover, blur)
        left = seen - _as_lab(soft, _fit_colours(soft, light, weights, aims))
        tried.append((float((weights[..., None] * left**2).sum()), blur, soft))
    return min(tried, key=lambda one: one[:2])[2]


def _as_lab(cover: Image, colours_xyz: Floats) -> Image:
    """Colours mixed as light mixes, then as Lab."""
    return xyz_to_lab(np.maximum(cover @ colours_xyz, 0.0)).astype(np.float32)


def _sample(picture: Rectified, raster: DecalRaster, affine: Affine) -> tuple[Image, Image]:
    """The picture's light (XYZ) and Lab at each pixel of a decal's raster."""
    import cv2

    matrix = (picture.to_px @ affine @ raster.to_px.inverse()).for_opencv
    size = (raster.inside.shape[1], raster.inside.shape[0])
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    warped = cv2.warpAffine(picture.xyz, matrix, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
    light = np.asarray(warped, np.float32)
    return light, xyz_to_lab(light).astype(np.float32)


def _fit_colours(cover: Image, light: Image, weights: Floats, aims: Floats) -> Floats:
    """XYZ that explains the picture best, each held a little to its aim, shape (colours, 3).

    Dark places weigh as much as light ones: errors count by their share.
    """
    count = cover.shape[2]
    flat = cover.reshape(-1, count).astype(np.float64)
    expected = flat @ aims[:, 1]
    share = weights.reshape(-1) / (np.maximum(expected, 0.0) + _DARK) ** 2
    prior = np.diag(_PRIOR_PX / (np.maximum(aims[:, 1], 0.0) + _DARK) ** 2)
    weighted = flat * share[:, None]
    normal = weighted.T @ flat + prior
    target = weighted.T @ light.reshape(-1, 3) + prior @ aims
    return np.asarray(np.linalg.solve(normal, target), np.float64)


def _trust(left: Image, mask: Floats) -> Floats:
    """Weight of each pixel: less where it is far off, as on a bubble."""
    away = np.linalg.norm(left, axis=2)
    spread = MAD_TO_SD * float(np.median(away[mask > 0.5])) + _CALM_DE
    trust: Floats = 1.0 / (1.0 + (away / (_OUTLIER * spread)) ** 2)
    return trust


def _slopes(model: Image, raster: DecalRaster) -> Floats:
    """Change of the artwork's Lab with each of the five moves, shape (5, height, width, 3)."""
    along_y, along_x = np.gradient(model.astype(np.float64), 1.0 / raster.px_per_mm, axis=(0, 1))
    x, y = (places[..., None] for places in raster.places_mm())
    return np.stack([along_x, along_y, along_y * x - along_x * y, along_x * x, along_y * y])


def _normal(slopes: Floats, left: Image, weights: Floats) -> tuple[Floats, Floats]:
    """The normal matrix of the five moves, shape (5, 5), and what errors pull them by, (5,)."""
    flat = (slopes * np.sqrt(weights)[None, ..., None]).reshape(5, -1)
    pull = flat @ (left * np.sqrt(weights)[..., None]).ravel().astype(np.float64)
    return flat @ flat.T, pull


def _warp(step: Floats) -> Affine:
    """The five moves, shape (5,), as a map of the decal's frame."""
    return Affine(
        1.0 + float(step[3]),
        float(step[2]),
        -float(step[2]),
        1.0 + float(step[4]),
        float(step[0]),
        float(step[1]),
    )


def _sandwich(
    slopes: Floats, left: Image, weights: Floats, normal: Floats, px_per_mm: float
) -> Floats:
    """Covariance of the moves, from how far blocks of the picture pull them apart, shape (5, 5).

    Source:
        Sandwich estimator, blocks as clusters [source: common-practice].
    """
    rows, columns = left.shape[:2]
    size = max(2, round(_BLOCK_MM * px_per_mm))
    pulls = (slopes * (weights[..., None] * left)[None]).sum(axis=3)
    starts = np.arange(0, rows, size), np.arange(0, columns, size)
    blocks = np.add.reduceat(np.add.reduceat(pulls, starts[0], axis=1), starts[1], axis=2)
    flat = blocks.reshape(5, -1)
    inverse = np.linalg.pinv(normal)
    count = flat.shape[1]
    cov: Floats = inverse @ (flat @ flat.T) @ inverse * (count / max(count - 5, 1))
    return cov


def _likeness(seen: Image, expected: Image, mask: Floats) -> float:
    """Correlation over what the decal covers and a rim, all channels together."""
    inside = mask > 0.5
    a = seen[inside] - seen[inside].mean(axis=0)
    b = expected[inside] - expected[inside].mean(axis=0)
    scale = math.sqrt(float((a**2).sum()) * float((b**2).sum()))
    return float((a * b).sum()) / scale if scale > 0.0 else 0.0
