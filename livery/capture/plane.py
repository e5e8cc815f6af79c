"""The target's plane as the photograph shows it: millimetres to pixels and back."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from livery.capture.markers import marker_corners_mm
from livery.capture.model import Marker

Floats = NDArray[np.float64]
_ASTRAY_MODULES = 0.5  # a corner farther off than this is no evidence [source: workshop-choice]
_LENS_MARKERS = 8  # markers needed before a lens is estimated [source: workshop-choice]
_LENS_GAIN = 0.85  # share of the held-out error a lens term must leave [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A homography, and one term of radial distortion where the markers show it.

    Attributes:
        matrix: target's mm to px of a lens without distortion, shape (3, 3).
        bend: relative radial shift at ``radius_px`` from ``centre_px``.
        residual_mm: root mean square distance of the marker corners from their places; 0 when
            the plane was given by four corners alone.
    """

    matrix: Floats
    bend: float
    centre_px: Floats
    radius_px: float
    residual_mm: float

    def to_px(self, points_mm: Floats) -> Floats:
        """Places on the target, mm, shape (n, 2), as pixels."""
        return _bent(_projected(self.matrix, points_mm), self.bend, self.centre_px, self.radius_px)

    def to_mm(self, points_px: Floats) -> Floats:
        """Pixels, shape (n, 2), as places on the target, mm."""
        straight = np.array(points_px, dtype=np.float64)
        for _ in range(8 if self.bend else 0):
            straight += points_px - _bent(straight, self.bend, self.centre_px, self.radius_px)
        return _projected(np.asarray(np.linalg.inv(self.matrix), np.float64), straight)

    def stretch(self, point_mm: Floats) -> tuple[float, float]:
        """Pixels per mm along the most and the least stretched direction at a place."""
        step = 0.5
        around = point_mm + step * np.array([(1, 0), (-1, 0), (0, 1), (0, -1)])
        px = self.to_px(around)
        slope = np.stack([px[0] - px[1], px[2] - px[3]], axis=1) / (2 * step)
        most, least = np.linalg.svd(slope, compute_uv=False)
        return float(most), float(least)

    def tilt_deg(self, point_mm: Floats) -> float:
        """Angle between the camera's view and the target's normal, from its foreshortening."""
        most, least = self.stretch(point_mm)
        return math.degrees(math.acos(min(1.0, least / most)))


def plane_from_corners(size_mm: tuple[float, float], corners_px: Floats) -> Plane:
    """The plane that puts the target's four corners at four pixels.

    Args:
        size_mm: the target's width and height.
        corners_px: top-left, top-right, bottom-right, bottom-left as the target is printed.
    """
    import cv2

    width, height = size_mm
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=np.float32)
    matrix = cv2.getPerspectiveTransform(corners, corners_px.astype(np.float32))
    return Plane(np.asarray(matrix, np.float64), 0.0, corners_px.mean(axis=0), 1.0, 0.0)


def plane_from_markers(
    corners_px: Mapping[Marker, Floats], picture_px: tuple[int, int]
) -> Plane | None:
    """The plane that fits the markers best; None when they do not lie in one.

    Args:
        corners_px: corners of each marker found.
        picture_px: the photograph's width and height.
    """
    import cv2

    markers = list(corners_px)
    if not markers:
        return None
    mm = np.stack([marker_corners_mm(marker) for marker in markers])
    px = np.stack([corners_px[marker] for marker in markers])
    side = float(np.median(np.linalg.norm(np.roll(px, -1, axis=1) - px, axis=2)))
    reach = max(2.0, _ASTRAY_MODULES * side / 8.0)
    matrix, _ = cv2.findHomography(mm.reshape(-1, 2), px.reshape(-1, 2), cv2.RANSAC, reach)
    if matrix is None:
        return None
    rough = np.asarray(matrix, np.float64)
    away = np.linalg.norm(_projected(rough, mm.reshape(-1, 2)) - px.reshape(-1, 2), axis=1)
    good = away.reshape(-1, 4).max(axis=1) <= 2.0 * reach
    if good.sum() < min(2, len(markers)):
        return None
    return _refined(mm[good], px[good], picture_px)


def _refined(mm: Floats, px: Floats, picture_px: tuple[int, int]) -> Plane:
    centre = np.array(picture_px, dtype=np.float64) / 2
    radius = float(np.linalg.norm(centre))
    flat = _fit(mm, px, centre, radius, lens=False)
    if len(mm) >= _LENS_MARKERS:
        bent_error = _held_out(mm, px, centre, radius, lens=True)
        if bent_error < _LENS_GAIN * _held_out(mm, px, centre, radius, lens=False):
            return _fit(mm, px, centre, radius, lens=True)
    return flat


def _held_out(mm: Floats, px: Floats, centre: Floats, radius: float, *, lens: bool) -> float:
    """Root mean square px error of a quarter of the markers under a fit to the others."""
    total = 0.0
    for fold in range(4):
        out = np.arange(len(mm)) % 4 == fold
        plane = _fit(mm[~out], px[~out], centre, radius, lens=lens)
        error = plane.to_px(mm[out].reshape(-1, 2)) - px[out].reshape(-1, 2)
        total += float((error**2).sum())
    return math.sqrt(total / px.size * 2)


def _fit(mm: Floats, px: Floats, centre: Floats, radius: float, *, lens: bool) -> Plane:
    import cv2
    from scipy.optimize import least_squares  # type: ignore[import-untyped]  # has no types

    places, seen = mm.reshape(-1, 2), px.reshape(-1, 2)
    found, _ = cv2.findHomography(places, seen, 0)
    matrix = np.asarray(found, np.float64) / found[2, 2]
    bend = 0.0
    if lens:

        def error(values: Floats) -> Floats:
            trial = np.append(values[:8] * scale, 1.0).reshape(3, 3)
            bent = _bent(_projected(trial, places), float(values[8]), centre, radius)
            return (bent - seen).ravel()

        scale = np.abs(matrix.ravel()[:8]) + 1e-9
        start = np.append(matrix.ravel()[:8] / scale, 0.0)
        solved = least_squares(error, start, method="lm").x
        matrix, bend = np.append(solved[:8] * scale, 1.0).reshape(3, 3), float(solved[8])
    plane = Plane(matrix, bend, centre, radius, 0.0)
    off = float(np.sqrt(((plane.to_px(places) - seen) ** 2).sum(axis=1).mean()))
    most, least = plane.stretch(places.mean(axis=0))
    return Plane(matrix, bend, centre, radius, off / math.sqrt(most * least))


def _projected(matrix: Floats, points: Floats) -> Floats:
    homogeneous = points @ matrix[:, :2].T + matrix[:, 2]
    flat: Floats = homogeneous[:, :2] / homogeneous[:, 2:]
    return flat


def _bent(points: Floats, bend: float, centre: Floats, radius: float) -> Floats:
    away = points - centre
    square = (away**2).sum(axis=1, keepdims=True) / radius**2
    bent: Floats = centre + away * (1.0 + bend * square)
    return bent
