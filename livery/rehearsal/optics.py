"""From the scene's plane to the photograph: a pinhole camera with radial distortion."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.capture.plane import project
from livery.colour import Floats
from livery.rehearsal.model import Box, Camera, Pose, box_ring

_ROUNDS = 40  # workshop choice: lens and standpoint settle well within


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """The map from plane to photograph.

    Attributes:
        homography: mm to px without distortion, shape (3, 3).
        centre_px: the lens's axis in the photograph, shape (2,).
        half_diagonal_px: distance from there to a corner.
        distortion: as the camera's.
    """

    homography: Floats
    centre_px: Floats
    half_diagonal_px: float
    distortion: float

    def to_px(self, points_mm: Floats) -> Floats:
        """Points on the plane as they appear in the photograph, shape (n, 2)."""
        ideal: Floats = project(self.homography, points_mm) - self.centre_px
        if self.distortion == 0.0:
            return ideal + self.centre_px
        radius = np.hypot(ideal[:, 0], ideal[:, 1]) / self.half_diagonal_px
        seen = radius.copy()
        for _ in range(_ROUNDS):
            error = seen * (1.0 - self.distortion * seen * seen) - radius
            seen = seen - error / (1.0 - 3.0 * self.distortion * seen * seen)
        scale = np.where(radius > 0.0, seen / np.where(radius > 0.0, radius, 1.0), 1.0)
        moved: Floats = ideal * scale[:, None] + self.centre_px
        return moved

    def to_mm(self, points_px: Floats) -> Floats:
        """Pixels of the photograph as points on the plane, shape (n, 2)."""
        seen = points_px - self.centre_px
        square = (seen * seen).sum(axis=1) / self.half_diagonal_px**2
        ideal: Floats = seen * (1.0 - self.distortion * square)[:, None]
        back = np.linalg.inv(self.homography)
        return project(np.asarray(back, dtype=np.float64), ideal + self.centre_px)

    def scale_at(self, point_mm: Floats) -> float:
        """Pixels a mm (root of the area's scale) at a point of the plane, shape (2,)."""
        around = point_mm + np.array([[0.0, 0.0], [0.5, 0.0], [0.0, 0.5]])
        origin, across, along = self.to_px(around)
        a, b = (across - origin) / 0.5, (along - origin) / 0.5
        return float(np.sqrt(abs(a[0] * b[1] - a[1] * b[0])))


def take_view(frame_mm: Box, camera: Camera, pose: Pose) -> View:
    """Stand the camera so that the frame fills its share of the photograph, centred.

    Args:
        frame_mm: what to take in.
        camera: its size, angle of view and distortion.
        pose: its angles, and the share to fill.

    Source:
        hartley-zisserman
    """
    size = np.array([camera.width_px, camera.height_px], dtype=np.float64)
    centre = (size - 1.0) / 2.0
    half_diagonal = float(np.hypot(*size)) / 2.0
    focal = half_diagonal / np.tan(np.radians(camera.view_deg) / 2.0)
    lens = np.array([[focal, 0.0, centre[0]], [0.0, focal, centre[1]], [0.0, 0.0, 1.0]])
    x0, y0, x1, y1 = frame_mm
    corners = box_ring(*frame_mm)
    turned = _rotation(pose)
    to_middle = np.array([[1.0, 0.0, -(x0 + x1) / 2], [0.0, 1.0, -(y0 + y1) / 2], [0.0, 0.0, 1.0]])
    away = np.hypot(x1 - x0, y1 - y0) * np.array([0.0, 0.0, 1.5])
    for _ in range(_ROUNDS):
        homography = lens @ np.column_stack([turned[:, 0], turned[:, 1], away]) @ to_middle
        seen = project(homography, corners)
        extent = seen.max(axis=0) - seen.min(axis=0)
        off = (seen.max(axis=0) + seen.min(axis=0)) / 2.0 - centre
        away = away - np.array([*(off * away[2] / focal), 0.0])
        away[2] *= max(0.5, min(2.0, float((extent / size).max()) / pose.fill))
    return View(homography, centre, half_diagonal, camera.distortion)


def _rotation(pose: Pose) -> Floats:
    """The plane's axes as the camera sees them, shape (3, 3): x right, y down, z away."""
    tilt, turn, roll = np.radians([pose.tilt_deg, pose.turn_deg, pose.roll_deg])
    about_x = np.array(
        [[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]]
    )
    about_y = np.array(
        [[np.cos(turn), 0, np.sin(turn)], [0, 1, 0], [-np.sin(turn), 0, np.cos(turn)]]
    )
    about_z = np.array(
        [[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]]
    )
    flip = np.diag([-1.0 if pose.mirrored else 1.0, 1.0, 1.0])
    rotation: Floats = flip @ about_z @ about_x @ about_y
    return rotation
