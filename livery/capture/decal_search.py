"""Looking for decals all over a face: upright or not, mirrored or not, once or more often."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.capture.decal_raster import DecalRaster
from livery.capture.rectified import Box, Image, Rectified
from livery.colour import Floats
from livery.geometry import Affine

# Every figure: [source: workshop-choice]
_SEARCH_PX_PER_MM = 1.0
_TURNS_DEG = (-8.0, -4.0, 0.0, 4.0, 8.0)  # against its layout, that a decal may have
_LEAST_LIKENESS = 0.45  # of a sighting
_MOST_SIGHTINGS = 6  # under one turn; four times as many in all
_APART = 0.5  # of the decal's smaller side: nearer sightings are of one decal


@dataclass(frozen=True, slots=True)
class Look:
    """How a decal may have been put on: against how its artwork says."""

    upside_down: bool
    mirrored: bool

    @property
    def affine(self) -> Affine:
        """The decal's frame to its frame as put on."""
        turn = Affine.rotation(180.0 if self.upside_down else 0.0)
        return turn @ (Affine.mirror_x() if self.mirrored else Affine())


LOOKS = tuple(
    Look(upside_down, mirrored) for mirrored in (False, True) for upside_down in (False, True)
)


@dataclass(frozen=True, slots=True)
class Sighting:
    """Something like a decal.

    Attributes:
        affine: the decal's frame to the target's, mm.
        look: how it would have been put on.
        likeness: correlation of picture and artwork, -1 to 1.
    """

    affine: Affine
    look: Look
    likeness: float


def shrink(picture: Rectified) -> Rectified:
    """The picture at the scale that is searched."""
    import cv2

    scale = _SEARCH_PX_PER_MM / picture.px_per_mm
    height, width = picture.lab.shape[:2]
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    images = [
        np.asarray(cv2.resize(image, size, interpolation=cv2.INTER_AREA))
        for image in (picture.codes, picture.xyz, picture.lab)
    ]
    return Rectified(
        images[0].astype(np.uint8),
        images[1].astype(np.float32),
        images[2].astype(np.float32),
        picture.x0_mm,
        picture.y0_mm,
        size[0] / (width / picture.px_per_mm),
    )


def look_for(
    small: Rectified, raster: DecalRaster, nominal: Affine, surround: Floats
) -> list[Sighting]:
    """Everything on the face that looks like a decal, the likeliest first.

    Args:
        small: the face, from ``shrink``.
        raster: the decal's, at any scale.
        nominal: the decal's frame to the target's where it should be: gives turn and size.
        surround: Lab of what lies round decals.
    """
    found: list[Sighting] = []
    for look in LOOKS:
        for turn in _TURNS_DEG:
            turned = Affine.rotation(turn) @ nominal.linear @ look.affine
            found += _sightings(small, raster, turned, look, surround)
    found.sort(key=lambda s: (-s.likeness, LOOKS.index(s.look), s.affine.e, s.affine.f))
    x0, y0, x1, y1 = _extent(raster)
    apart = _APART * min(x1 - x0, y1 - y0) * abs(nominal.determinant) ** 0.5
    return _one_each(found, apart)


def _sightings(
    small: Rectified, raster: DecalRaster, linear: Affine, look: Look, surround: Floats
) -> list[Sighting]:
    """Peaks of likeness under one turn of the artwork, the highest first."""
    import cv2

    template, mask, centre = _template(raster, linear, small.px_per_mm, surround)
    if template.shape[0] > small.lab.shape[0] or template.shape[1] > small.lab.shape[1]:
        return []
    map_ = cv2.matchTemplate(small.lab, template, cv2.TM_CCOEFF_NORMED, mask=mask)
    likeness = np.nan_to_num(np.asarray(map_, np.float64), nan=-1.0, posinf=-1.0, neginf=-1.0)
    sightings = []
    reach = max(2, min(template.shape[:2]) // 4)
    for _ in range(_MOST_SIGHTINGS):
        row, column = np.unravel_index(int(likeness.argmax()), likeness.shape)
        value = float(likeness[row, column])
        if not _LEAST_LIKENESS <= value <= 1.001:
            break
        x = small.x0_mm + (float(column) + centre[0] + 0.5) / small.px_per_mm
        y = small.y0_mm + (float(row) + centre[1] + 0.5) / small.px_per_mm
        sightings.append(Sighting(Affine.translation(x, y) @ linear, look, value))
        likeness[
            max(0, int(row) - reach) : int(row) + reach + 1,
            max(0, int(column) - reach) : int(column) + reach + 1,
        ] = -1.0
    return sightings


def _template(
    raster: DecalRaster, linear: Affine, px_per_mm: float, surround: Floats
) -> tuple[Image, Image, tuple[float, float]]:
    """The artwork turned, as Lab at the search's scale; where it counts; and its origin, px."""
    import cv2

    x0, y0, x1, y1 = _extent(raster)
    corners = linear.apply(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
    low, high = corners.min(axis=0), corners.max(axis=0)
    size = np.ceil((high - low) * px_per_mm).astype(int) + 1
    centre = -low * px_per_mm
    to_template = Affine(px_per_mm, 0, 0, px_per_mm, centre[0], centre[1]) @ linear
    matrix = (to_template @ raster.to_px.inverse()).for_opencv
    aims = raster.with_surround(surround)
    step = raster.px_per_mm / px_per_mm
    painted = (raster.cover @ aims).astype(np.float32)
    soft = cv2.GaussianBlur(painted, (0, 0), max(0.4 * step, 0.3))
    inside = cv2.GaussianBlur(raster.inside, (0, 0), max(0.8 * step, 0.3))
    shape = (int(size[0]), int(size[1]))
    flags = cv2.INTER_LINEAR
    border = [float(v) for v in surround]
    template = cv2.warpAffine(soft, matrix, shape, flags=flags, borderValue=border)
    mask = (cv2.warpAffine(inside, matrix, shape, flags=flags) > 0.1).astype(np.float32)
    repeated = np.repeat(mask[..., None], 3, axis=2)
    return np.asarray(template, np.float32), repeated, (float(centre[0]), float(centre[1]))


def _extent(raster: DecalRaster) -> Box:
    """Of the raster in the decal's frame, mm, margin included."""
    inverse = raster.to_px.inverse()
    height, width = raster.inside.shape
    (x0, y0), (x1, y1) = inverse.apply(np.array([(-0.5, -0.5), (width - 0.5, height - 0.5)]))
    return float(x0), float(y0), float(x1), float(y1)


def _one_each(found: list[Sighting], apart_mm: float) -> list[Sighting]:
    """The likeliest sighting of each look at each place, of sightings from the likeliest on."""
    kept: list[Sighting] = []
    for one in found:
        near = (
            (one.affine.e - k.affine.e) ** 2 + (one.affine.f - k.affine.f) ** 2 < apart_mm**2
            for k in kept
            if k.look == one.look
        )
        if not any(near):
            kept.append(one)
    return kept[: 4 * _MOST_SIGHTINGS]
