"""The blade as a solid: its outline and its section at stations from handle entry to toe.

The axis runs from the handle's entry (0) to the toe. The face is flat across; ``bow`` bends it
along the axis. The back rises from each edge to the spine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from livery.errors import Fault, InputError
from livery.geometry import settled
from livery.scheme import check_dims
from livery.scheme.model import BladeDims

Array = NDArray[np.float64]

_STEPS_ALONG = 160  # stations on the body: length and area true to 1e-5 of themselves
_STEPS_ROUND = 48  # stations round a shoulder or a toe corner: outline true to 0.005 mm
_STEPS_ACROSS = 128  # points across a section: arc length true to 3e-5 of itself


@dataclass(frozen=True, slots=True, eq=False)
class BladeProfile:
    """The blade at stations along its axis; all arrays have one value a station, mm.

    Attributes:
        axis_mm: distance from the handle's entry, increasing.
        left_mm, right_mm: x of the outline as you look at the face, left < right.
        edge_mm, spine_mm: depth from the face at the edges and at the spine.
        bow_mm: how far the face stands before the straight line from entry to toe.
        hollow: form of the back across, -1..1 (see ``BladeDims``).
        grip_mm: where on the axis the grip ends; always a station when it lies on the blade.
        shoulder_mm: where on the axis the full width is first reached.
        spine_share: how far the spine lies from the middle, as a share of half the width there,
            -1..1, positive to the right as you look at the face.
    """

    axis_mm: Array
    left_mm: Array
    right_mm: Array
    edge_mm: Array
    spine_mm: Array
    bow_mm: Array
    hollow: float
    grip_mm: float
    shoulder_mm: float
    spine_share: float = 0.0

    @property
    def length_mm(self) -> float:
        """Straight length from handle entry to toe."""
        return float(self.axis_mm[-1])

    def from_grip(self) -> BladeProfile:
        """The part that the grip does not cover."""
        keep = self.axis_mm >= self.grip_mm - 1e-9
        return replace(
            self,
            axis_mm=self.axis_mm[keep],
            left_mm=self.left_mm[keep],
            right_mm=self.right_mm[keep],
            edge_mm=self.edge_mm[keep],
            spine_mm=self.spine_mm[keep],
            bow_mm=self.bow_mm[keep],
        )


def profile_of(dims: BladeDims) -> BladeProfile:
    """The parametric blade of these dimensions.

    Raises:
        InputError: the dimensions contradict one another; every contradiction is listed.
    """
    faults = find_dims_faults(dims)
    if faults:
        raise InputError(*faults)
    axis, half = _outline_of(dims)
    return profile_along(dims, axis, -half, half)


def profile_along(dims: BladeDims, axis: Array, left: Array, right: Array) -> BladeProfile:
    """A blade of this outline with the depths that the dimensions give it.

    Args:
        dims: depths, grip and shoulder.
        axis: stations from the handle's entry, mm, increasing, shape (n,).
        left: x of the outline's left side at each station, mm, shape (n,).
        right: x of its right side.
    """
    toe_edge = min(dims.edge_thickness, dims.toe_thickness)
    share = dims.entry_share
    edge = _swell(dims, axis, (share * dims.edge_thickness, dims.edge_thickness, toe_edge))
    spine = _swell(dims, axis, (share * dims.spine_height, dims.spine_height, dims.toe_thickness))
    bow = dims.bow * (1.0 - (2.0 * axis / dims.blade_length - 1.0) ** 2)
    return BladeProfile(
        axis,
        left,
        right,
        edge,
        spine,
        bow,
        dims.hollow,
        dims.grip_below_entry,
        dims.shoulder_length,
        2.0 * dims.spine_offset / dims.width,
    )


def section_points(profile: BladeProfile, steps: int = _STEPS_ACROSS) -> Array:
    """Points of the back in space.

    Args:
        profile: the blade.
        steps: even number of intervals across.

    Returns:
        Shape (stations, steps + 1, 3): x as you look at the face, distance along the axis, and
        depth behind the straight line from entry to toe, mm. Column ``steps / 2`` is the spine.
    """
    angle = np.linspace(-np.pi / 2, np.pi / 2, steps + 1)
    flank = settled(np.sin(angle))  # -1 and 1 at the edges, 0 at the spine
    rise = back_form(flank, profile.hollow)
    share = profile.spine_share
    across = share + flank * np.where(flank < 0.0, 1.0 + share, 1.0 - share)
    centre = (profile.left_mm + profile.right_mm)[:, None] / 2
    half = (profile.right_mm - profile.left_mm)[:, None] / 2
    depth = profile.edge_mm[:, None] + (profile.spine_mm - profile.edge_mm)[:, None] * rise
    points = np.empty((len(profile.axis_mm), steps + 1, 3))
    points[..., 0] = centre + half * across
    points[..., 1] = profile.axis_mm[:, None]
    points[..., 2] = depth - profile.bow_mm[:, None]
    return points


def back_form(across: Array, hollow: float) -> Array:
    """How far the back has risen from edge (0) to spine (1).

    Args:
        across: -1 at one edge, 0 at the spine, 1 at the other edge.
        hollow: -1 elliptic, 0 straight, 1 hollow flanks with a round spine.

    Source:
        [source: workshop-choice]
    """
    straight = 1.0 - np.abs(across)
    if hollow < 0.0:
        curved = np.sqrt(np.maximum(0.0, 1.0 - across**2))
    else:
        curved = settled((1.0 + np.cos(np.pi * across)) / 2.0)
    form: Array = straight + abs(hollow) * (curved - straight)
    return form


def find_dims_faults(dims: BladeDims) -> tuple[Fault, ...]:
    """Every way in which dimensions contradict one another; none when they are coherent."""
    return tuple(
        Fault("bat dimensions", place, None, found, mend) for place, found, mend in check_dims(dims)
    )


def _outline_of(dims: BladeDims) -> tuple[Array, Array]:
    """Stations along the axis and the half-width at each.

    Shoulders are a power curve that leaves the handle at an angle and meets the full width
    without a corner; the body tapers evenly; the toe's corners are circular.

    Source:
        [source: workshop-choice]
    """
    start, corner = dims.shoulder_length, dims.blade_length - dims.toe_radius
    peak, grip = dims.blade_length - dims.spine_from_toe, dims.grip_below_entry
    marks = [mark for mark in (peak, grip) if 0.0 < mark < corner]
    body = np.unique(
        np.concatenate(
            [
                np.linspace(0.0, start, _STEPS_ROUND + 1),
                np.linspace(start, corner, _STEPS_ALONG + 1),
                np.array(marks),
            ]
        )
    )
    turn = np.linspace(0.0, np.pi / 2, _STEPS_ROUND + 1)[1:] if dims.toe_radius else np.empty(0)
    axis = np.concatenate([body, corner + dims.toe_radius * settled(np.sin(turn))])
    half = _half_width(dims, axis)
    half[len(body) :] += dims.toe_radius * (settled(np.cos(turn)) - 1.0)
    return axis, half


def _half_width(dims: BladeDims, axis: Array) -> Array:
    """Half the width before the toe's corners are rounded."""
    neck, full = dims.handle_width / 2, dims.width / 2
    up = np.clip(axis / dims.shoulder_length, 0.0, 1.0)
    down = np.clip(
        (axis - dims.shoulder_length) / (dims.blade_length - dims.shoulder_length), 0.0, 1.0
    )
    shoulder = neck + (full - neck) * (1.0 - settled((1.0 - up) ** dims.shoulder_power))
    half: Array = shoulder - dims.taper / 2 * down
    return half


def _swell(dims: BladeDims, axis: Array, depths: tuple[float, float, float]) -> Array:
    """A depth that rises from the entry to its greatest and falls to the toe.

    Source:
        [source: workshop-choice]
    """
    entry, greatest, toe = depths
    peak = dims.blade_length - dims.spine_from_toe
    rising = np.clip(axis / peak, 0.0, 1.0)
    falling = np.clip((dims.blade_length - axis) / dims.spine_from_toe, 0.0, 1.0)
    up = entry + (greatest - entry) * (1.0 - settled((1.0 - rising) ** dims.swell))
    down = toe + (greatest - toe) * (1.0 - settled((1.0 - falling) ** dims.swell))
    return np.where(axis <= peak, up, down)
