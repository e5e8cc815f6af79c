"""The target's plane as the photograph shows it: millimetres to pixels and back."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from livery.capture.markers import MODULES, marker_corners_mm
from livery.capture.model import Marker
from livery.colour import Floats

# A corner farther off than twice the larger of these is no evidence. [source: workshop-choice]
_ASTRAY_MODULES, _LEAST_ASTRAY_PX = 0.5, 2.0
_LENS_MARKERS = 7  # markers needed before a lens is estimated [source: workshop-choice]
_MIDDLES = 6  # markers whose middles do instead of their corners [source: workshop-choice]
# Spread across over spread along, below which markers stand in a row. [source: workshop-choice]
_WIDE = 0.15
_STEPS = 8  # of settling plane and lens together, and the share of the error that ends them
_SETTLED = 0.9999  # both: [source: workshop-choice]
_STRAIGHTENINGS = 8  # steps in which a lens is undone [source: workshop-choice]
_BESIDE_MM = 0.5  # to either side of a place, for its scale [source: workshop-choice]
_LENS_GAIN = 0.85  # share of the held-out error a lens term must leave [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Plane:
    """A homography, and one term of radial distortion where the markers show it.

    Attributes:
        matrix: target's mm to px of a lens without distortion, shape (3, 3).
        bend: relative radial shift at ``radius_px`` from ``centre_px``.
        centre_px: where the lens has its axis, shape (2,).
        radius_px: from there to a corner of the picture.
        residual_mm: root mean square distance of the markers from their places; 0 when the plane
            was given by four corners alone.
    """

    matrix: Floats
    bend: float
    centre_px: Floats
    radius_px: float
    residual_mm: float

    def to_px(self, points_mm: Floats) -> Floats:
        """Places on the target, mm, shape (n, 2), as pixels."""
        return _bent(project(self.matrix, points_mm), self.bend, self.centre_px, self.radius_px)

    def to_mm(self, points_px: Floats) -> Floats:
        """Pixels, shape (n, 2), as places on the target, mm."""
        straight = np.array(points_px, dtype=np.float64)
        for _ in range(_STRAIGHTENINGS if self.bend else 0):
            straight += points_px - _bent(straight, self.bend, self.centre_px, self.radius_px)
        return project(np.asarray(np.linalg.inv(self.matrix), np.float64), straight)

    def stretch(self, point_mm: Floats) -> tuple[float, float]:
        """Pixels per mm along the most and the least stretched direction at a place, shape (2,)."""
        around = point_mm + _BESIDE_MM * np.array([(1, 0), (-1, 0), (0, 1), (0, -1)])
        px = self.to_px(around)
        slope = np.stack([px[0] - px[1], px[2] - px[3]], axis=1) / (2 * _BESIDE_MM)
        most, least = np.linalg.svd(slope, compute_uv=False)
        return float(most), float(least)

    def tilt_deg(self, point_mm: Floats) -> float:
        """Angle between the camera's view and the target's normal, from its foreshortening."""
        most, least = self.stretch(point_mm)
        return math.degrees(math.acos(min(1.0, least / most)))


def project(matrix: Floats, points: Floats) -> Floats:
    """Points, shape (n, 2), through a homography, shape (3, 3)."""
    homogeneous = points @ matrix[:, :2].T + matrix[:, 2]
    flat: Floats = homogeneous[:, :2] / homogeneous[:, 2:]
    return flat


def homography_of_corners(size_mm: tuple[float, float], corners_px: Floats) -> Floats:
    """The target's mm to px, shape (3, 3), where its four corners are at four pixels.

    Args:
        size_mm: the target's width and height.
        corners_px: top-left, top-right, bottom-right, bottom-left as the target is printed, shape
            (4, 2).
    """
    import cv2

    width, height = size_mm
    corners = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=np.float32)
    matrix = cv2.getPerspectiveTransform(corners, corners_px.astype(np.float32))
    return np.asarray(matrix, np.float64)


def plane_from_corners(size_mm: tuple[float, float], corners_px: Floats) -> Plane:
    """The plane through the target's four corners, as ``homography_of_corners`` takes them."""
    matrix = homography_of_corners(size_mm, corners_px)
    return Plane(matrix, 0.0, corners_px.mean(axis=0), 1.0, 0.0)


def plane_from_markers(
    corners_px: Mapping[Marker, Floats], picture_px: tuple[int, int]
) -> Plane | None:
    """The plane that fits the markers best; None when they do not lie in one.

    Args:
        corners_px: corners of each marker found, from its top-left clockwise, shape (4, 2).
        picture_px: the photograph's width and height.
    """
    import cv2

    markers = list(corners_px)
    if not markers:
        return None
    mm = np.stack([marker_corners_mm(marker) for marker in markers])
    px = np.stack([corners_px[marker] for marker in markers])
    side = float(np.median(np.linalg.norm(np.roll(px, -1, axis=1) - px, axis=2)))
    reach = max(_LEAST_ASTRAY_PX, _ASTRAY_MODULES * side / MODULES)
    matrix, _ = cv2.findHomography(mm.reshape(-1, 2), px.reshape(-1, 2), cv2.RANSAC, reach)
    if matrix is None:
        return None
    rough = np.asarray(matrix, np.float64)
    away = np.linalg.norm(project(rough, mm.reshape(-1, 2)) - px.reshape(-1, 2), axis=1)
    good = away.reshape(-1, 4).max(axis=1) <= 2.0 * reach
    if good.sum() < min(2, len(markers)):
        return None
    return _refined(mm[good], px[good], picture_px)


def _refined(mm: Floats, px: Floats, picture_px: tuple[int, int]) -> Plane | None:
    """Through the corners, or through the middles where those tell of markers left out better.

    Args:
        mm: corners of markers in the target's mm, shape (n, 4, 2).
        px: the same as seen.
        picture_px: the photograph's width and height.
    """
    centre = np.array(picture_px, dtype=np.float64) / 2
    middles = mm.mean(axis=1, keepdims=True), np.stack([crossing(c) for c in px])[:, None]
    points = mm, px
    if len(mm) < _MIDDLES:
        return _fit(*points, centre, bent=False)
    error = _held_out(points, middles, centre, bent=False)
    if _is_wide(middles[0][:, 0]):
        by_middles = _held_out(middles, middles, centre, bent=False)
        if by_middles < error:
            points, error = middles, by_middles
    bent = len(mm) >= _LENS_MARKERS and (
        _held_out(points, middles, centre, bent=True) < _LENS_GAIN * error
    )
    return _fit(*points, centre, bent=bent)


def _is_wide(points: Floats) -> bool:
    """Whether points spread over an area, rather than along a line."""
    most, least = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(least > _WIDE * most)


def crossing(corners: Floats) -> Floats:
    """Where the diagonals of four corners, shape (4, 2), cross; shape (2,).

    Blur draws all corners of a marker in or out alike; this point stays.
    """
    a, b, c, d = corners
    across, other = c - a, d - b
    turn = across[0] * other[1] - across[1] * other[0]
    share = ((b - a)[0] * other[1] - (b - a)[1] * other[0]) / turn
    return np.asarray(a + share * across, np.float64)


def _held_out(
    points: tuple[Floats, Floats], middles: tuple[Floats, Floats], centre: Floats, *, bent: bool
) -> float:
    """Root mean square px error of a quarter of the middles under a fit to other markers.

    Infinite where the others stand in a row.
    """
    total = 0.0
    for fold in range(4):
        out = np.arange(len(points[0])) % 4 == fold
        plane = _fit(points[0][~out], points[1][~out], centre, bent=bent)
        if plane is None:
            return math.inf
        error = plane.to_px(middles[0][out, 0]) - middles[1][out, 0]
        total += float((error**2).sum())
    return math.sqrt(total / len(points[0]))


def _fit(mm: Floats, px: Floats, centre: Floats, *, bent: bool) -> Plane | None:
    """The plane through points, shape (..., 2); None where they tell of none."""
    import cv2

    places, seen = mm.reshape(-1, 2), px.reshape(-1, 2)
    found, _ = cv2.findHomography(places, seen, 0)
    if found is None:
        return None
    matrix = np.asarray(found, np.float64) / found[2, 2]
    plane = Plane(matrix, 0.0, centre, float(np.linalg.norm(centre)), 0.0)
    if bent:
        plane = _bend(plane, places, seen)
    most, least = plane.stretch(places.mean(axis=0))
    return replace(plane, residual_mm=_off(plane, places, seen) / math.sqrt(most * least))


def _off(plane: Plane, places: Floats, seen: Floats) -> float:
    """Root mean square distance in px."""
    return float(np.sqrt(((plane.to_px(places) - seen) ** 2).sum(axis=1).mean()))


def _bend(plane: Plane, places: Floats, seen: Floats) -> Plane:
    """The same plane with a lens term, both settled by Gauss and Newton's steps while they help."""
    off = _off(plane, places, seen)
    for _ in range(_STEPS):
        slopes = _slopes(plane, places)
        size = np.linalg.norm(slopes, axis=0)
        away = (seen - plane.to_px(places)).ravel()
        step = np.linalg.lstsq(slopes / size, away, rcond=None)[0] / size
        matrix = plane.matrix + np.append(step[:8], 0.0).reshape(3, 3)
        moved = replace(plane, matrix=matrix, bend=plane.bend + float(step[8]))
        now = _off(moved, places, seen)
        if not now < off:
            break
        plane, settled, off = moved, now > _SETTLED * off, now
        if settled:
            break
    return plane


def _slopes(plane: Plane, places: Floats) -> Floats:
    """Derivatives of the pixels by eight terms of the matrix and the bend, shape (2 n, 9)."""
    x, y = places.T
    weight = places @ plane.matrix[2, :2] + 1.0
    straight = project(plane.matrix, places)
    own = np.stack([x, y, np.ones_like(x)], axis=1) / weight[:, None]
    slopes = np.zeros((len(places), 2, 8))
    slopes[:, 0, :3] = slopes[:, 1, 3:6] = own
    slopes[:, :, 6:] = -straight[:, :, None] * own[:, None, :2]
    away = straight - plane.centre_px
    square = (away**2).sum(axis=1)[:, None, None] / plane.radius_px**2
    outer = away[:, :, None] * away[:, None, :] / plane.radius_px**2
    by_lens = (1.0 + plane.bend * square) * np.eye(2) + 2.0 * plane.bend * outer
    by_bend = away[:, :, None] * square
    return np.concatenate([by_lens @ slopes, by_bend], axis=2).reshape(-1, 9)


def _bent(points: Floats, bend: float, centre: Floats, radius: float) -> Floats:
    """Pixels of a lens without distortion as this one shows them, shape (n, 2)."""
    away = points - centre
    square = (away**2).sum(axis=1, keepdims=True) / radius**2
    bent: Floats = centre + away * (1.0 + bend * square)
    return bent
