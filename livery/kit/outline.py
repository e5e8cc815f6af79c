"""A blade's outline drawn by hand instead of computed from dimensions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from livery.errors import Fault, InputError
from livery.geometry import Affine, Path
from livery.kit.section import Array, BladeProfile, find_dims_faults, profile_along
from livery.scheme.model import BladeDims

SIZE_TOLERANCE_MM = 1.0  # drawn against stated length and width [source: workshop-choice]
SYMMETRY_MM = 1.0  # left against right half [source: workshop-choice]

_STEP_MM = 2.5  # longest gap between stations [source: workshop-choice]
_LEVEL_MM = 1e-6  # corners this close in y stand level; far below any drawing's precision


def place_outline(dims: BladeDims, drawn: Path) -> Path:
    """An outline drawn anywhere on a page, moved into the frame of the face.

    Its middle comes to x = 0, and its top, the handle's entry, to where the dimensions say that
    the grip covers it.

    Args:
        dims: how far the grip runs below the handle's entry.
        drawn: mm, x right, y down, handle up.
    """
    x0, y0, x1, _ = drawn.bounds()
    shift = Affine.translation(-(x0 + x1) / 2, -dims.grip_below_entry - y0)
    return drawn.transformed(shift)


def dims_as_drawn(dims: BladeDims, outline: Path) -> BladeDims:
    """The dimensions with width and lengths as an outline has them."""
    x0, y0, x1, y1 = outline.bounds()
    return replace(
        dims,
        width=x1 - x0,
        blade_length=y1 - y0,
        overall_length=dims.exposed_handle + y1 - y0,
        source=f"drawn outline: width, blade_length; {dims.source}",
    )


def profile_from_outline(dims: BladeDims, outline: Path) -> BladeProfile:
    """A blade of a drawn outline, with depths from the dimensions.

    Args:
        dims: dimensions; the outline must agree with blade length and width.
        outline: one closed subpath in the face's frame, mm: x right, y down, y = 0 at the bottom
            of the grip, from the handle's entry (y negative, under the grip) to the toe.

    Raises:
        InputError: incoherent dimensions or a faulty outline; every fault is listed.
    """
    faults = find_dims_faults(dims) + find_outline_faults(dims, outline)
    if faults:
        raise InputError(*faults)
    left, right = _chains(outline.flattened()[0])
    top = -dims.grip_below_entry
    reach = min(left[-1, 1], right[-1, 1])
    marks = [0.0, dims.blade_length - dims.spine_from_toe + top]
    inner = [y for y in (*left[:, 1], *right[:, 1], *marks) if top < y < reach]
    count = int(np.ceil((reach - top) / _STEP_MM)) + 1
    stations = np.unique(np.concatenate([np.linspace(top, reach, count), inner]))
    return profile_along(dims, stations - top, _x_at(left, stations), _x_at(right, stations))


def find_outline_faults(dims: BladeDims, outline: Path) -> tuple[Fault, ...]:
    """Every way in which a drawn outline is no blade of these dimensions."""
    rings = outline.flattened()
    if outline.verbs.count("M") != 1 or not outline.verbs.endswith("Z") or len(rings[0]) < 4:
        return (_fault("it is not one closed subpath", "Draw a single closed outline."),)
    if not np.isfinite(rings[0]).all() or not Polygon(rings[0]).is_valid:
        return (_fault("it crosses or touches itself", "Draw it without crossings."),)
    turns = _turns(rings[0])
    if len(turns) != 2:
        inner = np.sort(turns)[1:-1]
        places = ", ".join(f"{y:.1f}" for y in np.unique(inner.round(1)))
        return (
            _fault(
                f"it turns back on itself at y = {places} mm",
                "Each side must run from handle to toe without turning back.",
            ),
        )
    left, right = _chains(rings[0])
    return (*_size_faults(dims, rings[0]), *_symmetry_faults(left, right))


def _size_faults(dims: BladeDims, ring: Array) -> list[Fault]:
    low, high = ring.min(axis=0), ring.max(axis=0)
    stated = (
        ("width", float(high[0] - low[0]), dims.width),
        ("blade_length", float(high[1] - low[1]), dims.blade_length),
        ("grip_below_entry", float(-low[1]), dims.grip_below_entry),
    )
    return [
        _fault(
            f"its {name} is {drawn:z.2f} mm, the dimensions say {said:.2f} mm",
            f"Make them agree within {SIZE_TOLERANCE_MM:g} mm.",
        )
        for name, drawn, said in stated
        if abs(drawn - said) > SIZE_TOLERANCE_MM
    ]


def _symmetry_faults(left: Array, right: Array) -> list[Fault]:
    worst = _asymmetry(left, right)
    if worst <= SYMMETRY_MM:
        return []
    return [
        _fault(
            f"its halves differ by {worst:.2f} mm",
            f"Centre it on x = 0 and make the halves agree within {SYMMETRY_MM:g} mm.",
        )
    ]


def _asymmetry(left: Array, right: Array) -> float:
    low = max(left[0, 1], right[0, 1])
    high = min(left[-1, 1], right[-1, 1])
    inner = np.concatenate([left[:, 1], right[:, 1]])
    y = np.unique(np.clip(inner, low, high))
    return float(np.abs(_x_at(left, y) + _x_at(right, y)).max())


def _chains(ring: Array) -> tuple[Array, Array]:
    """Left and right sides of a ring that turns back nowhere, top to bottom, shape (n, 2)."""
    ring = _open(ring)
    y = ring[:, 1]
    top_first, top_last = _run(y <= y.min() + _LEVEL_MM)
    low_first, low_last = _run(y >= y.max() - _LEVEL_MM)
    one = _between(ring, top_last, low_first)
    other = _between(ring, low_last, top_first)[::-1]
    return (one, other) if one[:, 0].mean() < other[:, 0].mean() else (other, one)


def _turns(ring: Array) -> Array:
    """Where the ring turns from running down to running up, or back: the y of each corner."""
    ring = _open(ring)
    step = np.diff(ring[:, 1], append=ring[0, 1])
    moving = np.flatnonzero(np.abs(step) > _LEVEL_MM)
    turned = np.sign(step[moving]) != np.sign(np.roll(step[moving], 1))
    turns: Array = ring[moving[turned], 1]
    return turns


def _open(ring: Array) -> Array:
    return ring[:-1] if np.array_equal(ring[0], ring[-1]) else ring


def _run(level: NDArray[np.bool_]) -> tuple[int, int]:
    """First and last index of the only run of true values round a ring."""
    first = np.flatnonzero(level & ~np.roll(level, 1))
    last = np.flatnonzero(level & ~np.roll(level, -1))
    return int(first[0]), int(last[0])


def _between(ring: Array, first: int, last: int) -> Array:
    count = (last - first) % len(ring) + 1
    return ring[(first + np.arange(count)) % len(ring)]


def _x_at(chain: Array, y: Array) -> Array:
    return np.interp(y, chain[:, 1], chain[:, 0])


def _fault(found: str, mend: str) -> Fault:
    return Fault("custom outline", "", None, found, mend)
