"""Where a target lies in a photograph: by hand, by its markers, or by its patches."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from livery.capture import gates as judge
from livery.capture.markers import find_markers
from livery.capture.model import Gate
from livery.capture.plane import Plane, plane_from_corners, plane_from_markers
from livery.capture.rendition_finding import find_rendition
from livery.capture.scene import Scene
from livery.colour import Floats

# Both: [source: workshop-choice]
_SLACK = 0.1  # share of the picture's longer side that corners may lie beyond its edges
_LEAST_TURN_PX2 = 16.0  # the parallelogram of two sides that meet, at least


@dataclass(frozen=True, slots=True, eq=False)
class Located:
    """Where a target lies.

    Attributes:
        plane: its plane; None where it was not found.
        gate: whether it was found, and what to change.
        markers_px: id and corners, shape (4, 2), of each marker found; none where none are sought.
    """

    plane: Plane | None
    gate: Gate
    markers_px: tuple[tuple[int, Floats], ...] = ()


def locate_target(scene: Scene, corners: ArrayLike | None) -> Located:
    """Find a target.

    Args:
        scene: the photograph and the target.
        corners: the target's, pointed at by hand, as ``measure`` takes them; None looks for it.
    """
    target = scene.target
    size = (target.width_mm, target.height_mm)
    if corners is not None:
        points = _checked_corners(corners, scene.photo.size_px)
        plane = None if points is None else plane_from_corners(size, points)
        return Located(plane, judge.corners_gate(plane is not None))
    if not target.markers:
        points = find_rendition(scene.photo, target)
        plane = None if points is None else plane_from_corners(size, points)
        return Located(plane, judge.patches_gate(plane is not None))
    sighting = find_markers(scene.grey, target)
    needed = min(judge.LEAST_MARKERS, len(target.markers))
    gate = judge.target_gate(sighting, needed)
    plane = plane_from_markers(sighting.corners_px, scene.photo.size_px) if gate.ok else None
    if gate.ok and plane is None:
        gate = judge.crumpled_gate(needed)
    return Located(plane, gate, tuple((one.id, at) for one, at in sighting.corners_px.items()))


def _checked_corners(corners: ArrayLike, size_px: tuple[int, int]) -> Floats | None:
    """Four corners that go clockwise round some area near the picture, or None."""
    points = np.asarray(corners, dtype=np.float64)
    if points.shape != (4, 2) or not np.isfinite(points).all():
        return None
    slack = _SLACK * max(size_px)
    if points.min() < -slack or (points > np.array(size_px) + slack).any():
        return None
    edges = np.roll(points, -1, axis=0) - points
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    return points if (turns > _LEAST_TURN_PX2).all() else None
