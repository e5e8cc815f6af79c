"""A photograph seen from straight above: at a stated scale, evenly lit, its colours roughly Lab."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.gates import CLIPPED_PATCH
from livery.capture.linear_light import Linear, linear_of
from livery.capture.model import Target
from livery.capture.neutrals import is_neutral
from livery.capture.patch_pixels import inner_corners, read_patches
from livery.capture.photograph import Codes, Photograph
from livery.capture.plane import Plane
from livery.colour import Floats, lab_to_xyz, xyz_to_lab
from livery.geometry import Affine

Image = NDArray[np.float32]
Box = tuple[float, float, float, float]
_MAP_STEP_PX = 16  # between places where the plane is projected [source: workshop-choice]
_INSET = 0.25  # of a patch's side left out at each edge [source: workshop-choice]
_LEAST_NEUTRALS = 6  # that tell how light falls [source: workshop-choice]
_LEAST_PATCHES = 12  # that tell colours [source: workshop-choice]
_FLOOR = 0.02  # of white: darker patches weigh no more than this [source: workshop-choice]
_ROUNDS = 4  # of weighing neutrals by how far they are off [source: workshop-choice]
_STAINED, _LEAST_OFF = 2.0, 1e-3  # medians, and log light, that are far [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Rectified:
    """What lies in a box of the target's plane.

    Attributes:
        codes: as photographed, R, G, B, shape (height, width, 3).
        xyz: evenly lit, D50/2°, a perfect white 1; near enough to tell inks apart, no measurement;
            shape (height, width, 3).
        lab: the same as CIELAB, D50/2°.
        x0_mm, y0_mm: top-left corner of the top-left pixel, in the target's frame.
        px_per_mm: scale.
    """

    codes: NDArray[np.uint8]
    xyz: Image
    lab: Image
    x0_mm: float
    y0_mm: float
    px_per_mm: float

    @property
    def to_px(self) -> Affine:
        """Places in the target's mm to pixels, whose centres are at whole numbers."""
        s = self.px_per_mm
        return Affine(s, 0.0, 0.0, s, -s * self.x0_mm - 0.5, -s * self.y0_mm - 0.5)


def rectify(
    photograph: Photograph, plane: Plane, target: Target, box_mm: Box, px_per_mm: float
) -> Rectified:
    """Lay a part of the target's plane flat.

    Light is taken as a quadric of place through the neutral patches, colours as linear in the
    camera's with one offset for stray light, fitted to all patches.

    Args:
        photograph: as decoded.
        plane: where the target lies in it.
        target: as it lies; its patches tell light and colour.
        box_mm: (x0, y0, x1, y1) in the target's frame.
        px_per_mm: scale of the result.

    Raises:
        PhotographError: its colour profile cannot be used.
    """
    codes = _warped(photograph, plane, box_mm, px_per_mm)
    eight = np.asarray(codes * (255.0 / photograph.full_scale), np.float32).round()
    linear = linear_of(photograph)
    light = linear(codes).astype(np.float32)
    seen = _patches_seen(photograph, linear, plane, target)
    xyz = _flattened(light, box_mm, px_per_mm, seen, target)
    lab = xyz_to_lab(xyz).astype(np.float32)
    return Rectified(eight.astype(np.uint8), xyz, lab, box_mm[0], box_mm[1], px_per_mm)


def _warped(photograph: Photograph, plane: Plane, box_mm: Box, px_per_mm: float) -> Codes:
    """The photograph's codes in a box, shape (height, width, 3)."""
    import cv2

    width = max(1, round((box_mm[2] - box_mm[0]) * px_per_mm))
    height = max(1, round((box_mm[3] - box_mm[1]) * px_per_mm))
    columns, rows = (-(-length // _MAP_STEP_PX) + 2 for length in (width, height))
    x = ((np.arange(columns) - 0.5) * _MAP_STEP_PX) / px_per_mm + box_mm[0]
    y = ((np.arange(rows) - 0.5) * _MAP_STEP_PX) / px_per_mm + box_mm[1]
    points = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    coarse = plane.to_px(points).reshape(rows, columns, 2).astype(np.float32)
    size = (columns * _MAP_STEP_PX, rows * _MAP_STEP_PX)
    fine = cv2.resize(coarse, size, interpolation=cv2.INTER_LINEAR)
    inner = fine[_MAP_STEP_PX : _MAP_STEP_PX + height, _MAP_STEP_PX : _MAP_STEP_PX + width]
    map_x, map_y = (np.ascontiguousarray(inner[..., i], np.float32) for i in (0, 1))
    warped = cv2.remap(
        photograph.codes, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(warped, photograph.codes.dtype)


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """Patches that were read.

    Attributes:
        places_mm: their middles, shape (n, 2).
        rgb: their linear light, shape (n, 3).
        lab: their reference, D50/2°, shape (n, 3).
    """

    places_mm: Floats
    rgb: Floats
    lab: Floats


def _patches_seen(photograph: Photograph, linear: Linear, plane: Plane, target: Target) -> _Seen:
    corners = plane.to_px(inner_corners(target.patches, _INSET).reshape(-1, 2))
    seen = read_patches(photograph, linear, corners.reshape(-1, 4, 2))
    good = np.flatnonzero(seen.readable & (seen.clipped <= CLIPPED_PATCH))
    patches = [target.patches[i] for i in good]
    places, lab = [patch.middle_mm for patch in patches], [patch.lab for patch in patches]
    return _Seen(np.array(places).reshape(-1, 2), seen.rgb[good], np.array(lab).reshape(-1, 3))


def _flattened(light: Image, box_mm: Box, px_per_mm: float, seen: _Seen, target: Target) -> Image:
    """Linear camera light, shape (height, width, 3), as XYZ under even light."""
    shade = _light_field(seen, target)
    rows: Floats = (np.arange(light.shape[0], dtype=np.float64) + 0.5) / px_per_mm + box_mm[1]
    columns: Floats = (np.arange(light.shape[1], dtype=np.float64) + 0.5) / px_per_mm + box_mm[0]
    x, y = target.place(columns, rows)
    level = np.exp(
        shade[0]
        + (shade[1] * x + shade[3] * x * x)[None]
        + (shade[2] * y + shade[4] * y * y)[:, None]
        + shade[5] * np.outer(y, x)
    ).astype(np.float32)
    matrix = _colours(seen, shade, target).astype(np.float32)
    flat = light / level[..., None]
    xyz = flat @ matrix[:3] + matrix[3]
    return np.asarray(np.maximum(xyz, 0.0), np.float32)


def _terms(places_mm: Floats, target: Target) -> Floats:
    """The light field's terms at places, shape (n, 6)."""
    x, y = target.place(*places_mm.T)
    return np.stack([np.ones_like(x), x, y, x * x, y * y, x * y], axis=1)


def _light_field(seen: _Seen, target: Target) -> Floats:
    """Log of the light's level as six terms of place, shape (6,); 0 where neutrals are too few."""
    neutral = is_neutral(seen.lab)
    if neutral.sum() < _LEAST_NEUTRALS:
        return np.zeros(6)
    expected = lab_to_xyz(seen.lab[neutral])[:, 1]
    ratio = np.log(np.maximum(seen.rgb[neutral].mean(axis=1), 1e-6) / expected)
    terms = _terms(seen.places_mm[neutral], target)
    weights = np.ones(len(ratio))
    field = np.zeros(6)
    for _ in range(_ROUNDS):  # so that a stained patch counts little
        field = np.linalg.lstsq(terms * weights[:, None], ratio * weights, rcond=None)[0]
        away = np.abs(ratio - terms @ field)
        far = max(_STAINED * float(np.median(away)), _LEAST_OFF)
        weights = 1.0 / np.sqrt(1.0 + (away / far) ** 2)
    return np.asarray(field, np.float64)


def _colours(seen: _Seen, shade: Floats, target: Target) -> Floats:
    """Evenly lit camera light, with a constant, to XYZ: shape (4, 3)."""
    if len(seen.lab) < _LEAST_PATCHES:
        return np.vstack([np.full((3, 3), 1.0 / 3.0), np.zeros(3)])
    flat = seen.rgb / np.exp(_terms(seen.places_mm, target) @ shade)[:, None]
    aims = lab_to_xyz(seen.lab)
    weights = 1.0 / (aims[:, 1] + _FLOOR)[:, None]
    terms = np.column_stack([flat, np.ones(len(flat))])
    return np.asarray(np.linalg.lstsq(terms * weights, aims * weights, rcond=None)[0], np.float64)
