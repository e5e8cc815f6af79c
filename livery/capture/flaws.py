"""Where a decal's picture differs from its artwork: bubbles, scratches, lifted film."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from livery.capture.decal_raster import DecalRaster
from livery.capture.pixels import MAD_TO_SD
from livery.capture.position_model import Difference, Flaw, FlawKind
from livery.capture.rectified import Image
from livery.capture.registration import Registration
from livery.colour import Floats
from livery.geometry import Affine

Mask = NDArray[np.bool_]
# Every figure: [source: workshop-choice]
THRESHOLD = 4.0
"""Normalised difference from which a place is shown: 4 times what noise and edges explain."""
_FLOOR_DE = 1.6  # least noise, ΔE*ab, that a difference is measured by
_EDGE_MM, _CUT_MM = 0.1, 0.3  # edges of ink, and the cut, may stand this far off
_BY_CUT_MM = 0.8  # either side of the cut, where that counts
_SPREAD_MM = 0.25  # either side of an edge, where a shift of it shows
_RIM_MM = 0.6  # outside the cut, where lifted film throws its shadow
_SMOOTH_MM = 0.2  # standard deviation of the blur that quiets single pixels
_GAP_MM = 2.5  # between parts of one mark
_LEAST_MM2 = 1.2  # area of a mark that is told
_LONG = 4.0  # length over breadth that makes a scratch
_AT_EDGE_MM = 1.5  # a mark that reaches so near the cut is film that lifts,
_AT_EDGE_SHARE = 0.25  # if so much of it lies within twice that
_MOST_FLAWS = 12  # of one decal that are told


def find_flaws(
    raster: DecalRaster, laid: Registration, to_surface: Affine
) -> tuple[tuple[Flaw, ...], Difference]:
    """Places on a decal that differ from its artwork.

    The difference is ΔE*ab between picture and artwork in the inks as seen; it is normalised by
    the picture's own noise, and along the artwork's edges by what a small step of print or cut
    would make.

    Args:
        raster: the artwork.
        laid: where it lies.
        to_surface: the target's frame to the surface's.

    Returns:
        Flaws, the strongest first, and the difference itself.
    """
    from_cut = _from_cut(raster)
    normal = _normalised(raster, laid, from_cut)
    to_target = laid.affine @ raster.to_px.inverse()
    place = to_surface @ to_target
    found = [
        flaw
        for mark in _marks(normal > THRESHOLD, raster.px_per_mm)
        if (flaw := _describe(mark, normal, from_cut, place)) is not None
    ]
    found.sort(key=lambda flaw: (-flaw.strength, flaw.x_mm, flaw.y_mm))
    return tuple(found[:_MOST_FLAWS]), Difference(normal, to_target)


def _normalised(raster: DecalRaster, laid: Registration, from_cut: Floats) -> Image:
    """Difference over what noise and edges explain, shape (height, width); 0 off the decal."""
    import cv2

    scale = raster.px_per_mm
    rim = 2 * round(_RIM_MM * scale) + 1
    within = cv2.dilate(raster.inside, np.ones((rim, rim), np.uint8)) > 0.5
    left = cv2.GaussianBlur(laid.seen - laid.model, (0, 0), max(_SMOOTH_MM * scale, 0.3))
    away = np.linalg.norm(np.asarray(left, np.float64), axis=2)
    slope_y, slope_x = np.gradient(laid.model.astype(np.float64), 1.0 / scale, axis=(0, 1))
    edge = np.sqrt((slope_x**2 + slope_y**2).sum(axis=2))
    spread = 2 * max(1, round(_SPREAD_MM * scale)) + 1
    edge = np.asarray(cv2.dilate(edge, np.ones((spread, spread), np.uint8)), np.float64)
    calm = within & (edge < np.median(edge[within]))
    noise = max(MAD_TO_SD * float(np.median(away[calm])), _FLOOR_DE) if calm.any() else _FLOOR_DE
    allowed = np.where(from_cut < _BY_CUT_MM, _CUT_MM, _EDGE_MM)
    normal = away / np.hypot(noise, allowed * edge)
    return np.where(within, normal, 0.0).astype(np.float32)


def _from_cut(raster: DecalRaster) -> Floats:
    """Distance of each pixel from the cut, mm, shape (height, width)."""
    import cv2

    inside = (raster.inside > 0.5).astype(np.uint8)
    either = [cv2.distanceTransform(side, cv2.DIST_L2, 3) for side in (inside, 1 - inside)]
    return np.maximum(*(np.asarray(side, np.float64) for side in either)) / raster.px_per_mm


def _marks(over: Mask, px_per_mm: float) -> list[Mask]:
    """Connected places; parts with small gaps between, as an edge of ink leaves, are one."""
    import cv2

    bridge = 2 * max(1, round(_GAP_MM * px_per_mm / 2)) + 1
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (bridge, bridge))
    joined = cv2.morphologyEx(over.astype(np.uint8), cv2.MORPH_CLOSE, kernel)
    count, labels = cv2.connectedComponents(joined, connectivity=8)
    return [np.asarray((labels == n) & over) for n in range(1, count)]


def _describe(mark: Mask, normal: Image, from_cut: Floats, place: Affine) -> Flaw | None:
    """A mark by its size, place and shape; None when it is too small.

    Length and breadth are those of a rectangle of even weight with its spread.

    Args:
        mark: its pixels.
        normal: the normalised difference.
        from_cut: distance of each pixel from the cut, mm.
        place: pixels to the surface's frame, mm.
    """
    rows, columns = np.nonzero(mark)
    points = place.apply(np.stack([columns, rows], axis=1).astype(np.float64))
    pixel = abs(place.determinant)
    area = len(points) * pixel
    if area < _LEAST_MM2:
        return None
    centre = points.mean(axis=0)
    spread = np.linalg.eigvalsh(np.cov(points.T) + pixel / 12.0 * np.eye(2))
    long, broad = (math.sqrt(12.0 * float(v)) for v in spread[::-1])
    if long > _LONG * broad:
        kind = FlawKind.SCRATCH
    elif _reaches_edge(from_cut[mark]):
        kind = FlawKind.LIFTED
    else:
        kind = FlawKind.BUBBLE
    x, y = float(centre[0]), float(centre[1])
    return Flaw(kind, x, y, long, area, float(normal[mark].max()))


def _reaches_edge(depth: Floats) -> bool:
    """Whether a mark, its pixels so deep in mm, begins at the cut."""
    near = (depth < 2 * _AT_EDGE_MM).mean()
    return bool(depth.min() < _AT_EDGE_MM and near > _AT_EDGE_SHARE)
