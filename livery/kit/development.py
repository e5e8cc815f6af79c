"""Surfaces of a blade laid flat at true length, as outlines in the surface's own frame.

Source:
    [source: surface-integration]
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.kit.section import Array, BladeProfile, section_points


@dataclass(frozen=True, slots=True, eq=False)
class Development:
    """A strip laid flat: at each station its y and the x of its two sides.

    Attributes:
        y_mm: shape (n,), increasing.
        left_mm, right_mm: x of the sides as you look at the strip, shape (n,).
        axis_mm: where on the blade's axis each station lies.
        area_mm2: true area.
    """

    y_mm: Array
    left_mm: Array
    right_mm: Array
    axis_mm: Array
    area_mm2: float

    @property
    def ring(self) -> Array:
        """The outline's corners, shape (2n, 2), open."""
        left = np.column_stack([self.left_mm, self.y_mm])
        right = np.column_stack([self.right_mm, self.y_mm])
        return np.concatenate([left, right[::-1]])

    def y_at(self, axis_mm: float) -> float:
        """The y of a place on the axis; places before the strip are continued straight."""
        before = min(0.0, axis_mm - float(self.axis_mm[0]))
        return float(np.interp(axis_mm, self.axis_mm, self.y_mm)) + before


def develop_face(profile: BladeProfile) -> Development:
    """The face: flat across, its bow laid straight along."""
    y = _lengths(profile, np.column_stack([profile.axis_mm, profile.bow_mm]))
    width = profile.right_mm - profile.left_mm
    area = float(np.trapezoid(width, y))
    return Development(y, profile.left_mm, profile.right_mm, profile.axis_mm, area)


def develop_back(profile: BladeProfile) -> Development:
    """The back: at each station the arc of its section, along the length of the spine.

    A back swells both ways, so no flat outline has its area exactly: the area is summed over
    the curved surface itself.
    """
    points = section_points(profile)
    middle = points.shape[1] // 2
    steps = np.linalg.norm(np.diff(points, axis=1), axis=2)
    y = _lengths(profile, points[:, middle, 1:])
    # Seen from behind, the face's right is on the left.
    ridge = spine_line(profile)
    left = ridge - steps[:, middle:].sum(axis=1)
    right = ridge + steps[:, :middle].sum(axis=1)
    return Development(y, left, right, profile.axis_mm, _surface_area(points))


def spine_line(profile: BladeProfile) -> Array:
    """Where the spine lies on the developed back: its x at each station, shape (n,).

    The developed back's own centre line is where the blade's middle plane meets it, so a spine
    that stands off the middle lies off it by the length of the curve between the two.
    """
    if profile.spine_share == 0.0:
        return np.zeros_like(profile.axis_mm)
    points = section_points(profile)
    steps = np.linalg.norm(np.diff(points, axis=1), axis=2)
    along = np.concatenate([np.zeros((len(steps), 1)), np.cumsum(steps, axis=1)], axis=1)
    middle = (profile.left_mm + profile.right_mm) / 2
    at_middle = np.array(
        [np.interp(x, row, arc) for x, row, arc in zip(middle, points[..., 0], along, strict=True)]
    )
    ridge: Array = at_middle - along[:, points.shape[1] // 2]
    return ridge


def develop_edge(profile: BladeProfile, *, right: bool) -> Development:
    """An edge from the grip round the shoulder to where the toe begins.

    An edge is ruled square to the face, so its development is exact: the side at the face is
    straight (but for bow) and the side at the back follows the thickness. x is 0 at the middle
    of the thickness where the edge is thickest.

    Args:
        profile: the blade.
        right: the edge on the right as you look at the face.
    """
    stop = edge_end(profile, right=right) + 1
    x = (profile.right_mm if right else profile.left_mm)[:stop]
    axis, edge, bow = profile.axis_mm[:stop], profile.edge_mm[:stop], profile.bow_mm[:stop]
    y = _lengths(profile, np.column_stack([x, axis]))
    thickest = int(np.argmax(edge))
    face = bow - bow[thickest] + edge[thickest] / 2
    area = float(np.trapezoid(edge, y))
    if right:
        return Development(y, -face, edge - face, axis, area)
    return Development(y, face - edge, face, axis, area)


def develop_toe(profile: BladeProfile) -> Development:
    """The toe between the edges, turned so that its length lies along x.

    Here ``y_mm`` holds positions across the toe, left to right as you look at the toe with the
    face uppermost, and ``left_mm``/``right_mm`` the depths at the face (0) and at the back.
    """
    first, last = edge_end(profile, right=False), edge_end(profile, right=True)
    left_x, right_x = profile.left_mm[first:], profile.right_mm[last:][::-1]
    flat = section_points(profile)[-1]
    x = np.concatenate([left_x[:-1], flat[:, 0], right_x[1:]])
    axis = np.concatenate(
        [
            profile.axis_mm[first:-1],
            np.full(len(flat), profile.length_mm),
            profile.axis_mm[last:][::-1][1:],
        ]
    )
    depth = np.concatenate(
        [
            profile.edge_mm[first:-1],
            flat[:, 2] + profile.bow_mm[-1],
            profile.edge_mm[last:][::-1][1:],
        ]
    )
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(axis)))])
    keep = np.concatenate([[True], np.diff(along) > 1e-12])
    along, depth = along[keep] - along[-1] / 2, depth[keep]
    area = float(np.trapezoid(depth, along))
    return Development(along, np.zeros_like(along), depth, axis[keep], area)


def edge_end(profile: BladeProfile, *, right: bool) -> int:
    """The station where an edge ends and the toe begins.

    The toe begins where the outline faces the toe more than it faces sideways.

    Source:
        [source: workshop-choice]
    """
    x = profile.right_mm if right else profile.left_mm
    sideways = np.abs(np.diff(x)) <= np.diff(profile.axis_mm) * (1.0 + 1e-9)
    found = np.flatnonzero(sideways)
    return int(found[-1]) + 1 if len(found) else len(x) - 1


def _lengths(profile: BladeProfile, curve: Array) -> Array:
    """Length along a curve from the bottom of the grip, at each of its points."""
    steps = np.linalg.norm(np.diff(curve, axis=0), axis=1)
    start = float(profile.axis_mm[0]) - profile.grip_mm
    return np.concatenate([[0.0], np.cumsum(steps)]) + start


def _surface_area(points: Array) -> float:
    """Area of the facets between stations; shape (stations, across, 3), mm²."""
    first = points[1:, 1:] - points[:-1, :-1]
    second = points[1:, :-1] - points[:-1, 1:]
    normals = np.cross(first, second)
    return float(np.linalg.norm(normals, axis=2).sum() / 2)
