"""Where a decal may slide along y: exact intervals, in closed form.

A side A of the decal, moved by d along y, is nearer than g to a side B of a boundary exactly when
the point (0, d) lies within g of the parallelogram B − A. That set is convex, so a line x = 0 cuts
it in one interval; its ends lie on the circles about the parallelogram's corners or on its sides
moved out by g.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

SLACK_MM = 5e-10
"""Half of the rounding that a limit forgives. [source: workshop-choice]."""

_UPRIGHT_MM = 1e-300  # narrower sides are not divided by their width, lest it overflow

Interval = tuple[float, float]


def barred_by_pairs(
    sides: NDArray[np.float64], others: NDArray[np.float64], gap_mm: float | NDArray[np.float64]
) -> NDArray[np.float64]:
    """Moves along y that bring a side nearer than a gap to another, pair by pair.

    Args:
        sides: those that move, shape (n, 2 ends, 2), mm.
        others: shape (n, 2, 2), mm.
        gap_mm: one for all, or one for each, shape (n,); 0 bars crossing alone.

    Returns:
        An open interval for each, shape (n, 2), mm; low above high where nothing is barred.
    """
    a, b = sides, others
    corners = np.stack([b[:, 0] - a[:, 0], b[:, 1] - a[:, 0], b[:, 1] - a[:, 1], b[:, 0] - a[:, 1]])
    return _near_polygons(corners, gap_mm)


def barred_past(corners: NDArray[np.float64], gap_mm: float) -> NDArray[np.float64]:
    """Moves d for which (0, d) lies nearer than a gap to a convex polygon, or in it.

    Args:
        corners: in order, shape (n, 2), mm.
        gap_mm: 0 bars its inside alone.

    Returns:
        One open interval or none, shape (0 or 1, 2), mm.
    """
    found = _near_polygons(corners[:, None], gap_mm)
    return found[found[:, 0] < found[:, 1]]


def barred_at_both(
    sides: tuple[NDArray[np.float64], NDArray[np.float64]],
    boundary: NDArray[np.float64],
    gap_mm: float,
    reach: Interval,
) -> NDArray[np.float64]:
    """Barred moves of the same pairs of sides at two scales, for pairs barred at both.

    Args:
        sides: the decal's sides at each scale, both of shape (k, 2, 2), mm.
        boundary: sides to keep away from, shape (m, 2, 2), mm.
        gap_mm: 0 bars crossing alone.
        reach: moves of interest.

    Returns:
        Open intervals, shape (n pairs, 2 scales, 2 ends), mm.
    """
    own, other = _near_pairs(sides[0], boundary, gap_mm, reach)
    both = np.stack([barred_by_pairs(each[own], boundary[other], gap_mm) for each in sides], axis=1)
    kept: NDArray[np.float64] = both[(both[..., 0] < both[..., 1]).all(axis=1)]
    return kept


def cut_upright(triangles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where the line x = 0 passes through triangles.

    Args:
        triangles: shape (n, 3 corners, 2), mm.

    Returns:
        Intervals of y, shape (n, 2), a hair wider than true so that neighbours overlap; low above
        high where the line misses.
    """
    start, end = triangles, np.roll(triangles, -1, axis=1)
    along = end - start
    hit = (np.minimum(start[..., 0], end[..., 0]) <= 0.0) & (
        np.maximum(start[..., 0], end[..., 0]) >= 0.0
    )
    hit &= along[..., 0] != 0.0  # the corners of an upright side are its neighbours' too
    share = -start[..., 0] / np.where(hit, along[..., 0], 1.0)
    y = start[..., 1] + share * along[..., 1]
    low = np.where(hit, y, np.inf).min(axis=1) - SLACK_MM
    high = np.where(hit, y, -np.inf).max(axis=1) + SLACK_MM
    return np.stack([low, high], axis=1)


def chain_closes(barred: NDArray[np.float64], within: Interval) -> bool:
    """Whether one chain of barred sets bars a whole interval at both scales, link upon link.

    Each of them is convex over scale and move, so such a chain bars it between, too.
    """
    reached = np.array([within[0], within[0]]) - SLACK_MM
    while (reached <= within[1]).any():
        linked = (barred[..., 0] < reached).all(axis=1)
        gains = np.where(linked, (barred[..., 1] - reached).min(axis=1, initial=np.inf), -np.inf)
        if not len(gains) or gains.max() <= 0.0:
            return False
        reached = barred[int(np.argmax(gains)), :, 1]
    return True


def free_slides(barred: NDArray[np.float64], within: Interval) -> list[Interval]:
    """What open barred intervals leave of a closed one; single points count."""
    start, end = within
    inside = barred[barred[:, 0] < end]
    low, high = inside[np.argsort(inside[:, 0], kind="stable")].T
    reached = np.maximum.accumulate(np.concatenate([[start], high]))
    gaps = low >= reached[:-1]
    free: list[Interval] = list(zip(reached[:-1][gaps].tolist(), low[gaps].tolist(), strict=True))
    if reached[-1] <= end:
        free.append((float(reached[-1]), end))
    return free


def _near_polygons(
    corners: NDArray[np.float64], gap_mm: float | NDArray[np.float64]
) -> NDArray[np.float64]:
    """Where x = 0 passes nearer than a gap to convex polygons, shape (m corners, n, 2), mm.

    Returns:
        An open interval of y for each, shape (n, 2), mm; low above high where it passes none.
    """
    x, y = corners[..., 0], corners[..., 1]
    low, high = _corner_circles(x, y, gap_mm)
    side_low, side_high = _moved_sides(x, y, gap_mm)
    low = np.minimum(low, side_low).min(axis=0) + SLACK_MM
    high = np.maximum(high, side_high).max(axis=0) - SLACK_MM
    crossed = (x.min(axis=0) - gap_mm < -SLACK_MM) & (x.max(axis=0) + gap_mm > SLACK_MM)
    return np.stack([np.where(crossed, low, np.inf), np.where(crossed, high, -np.inf)], axis=1)


def _near_pairs(
    sides: NDArray[np.float64], boundary: NDArray[np.float64], gap_mm: float, reach: Interval
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of a side and a boundary's side that some move within reach may bring near."""
    low, high = sides.min(axis=1) - gap_mm, sides.max(axis=1) + gap_mm
    low[:, 1] += reach[0]
    high[:, 1] += reach[1]
    tree = shapely.STRtree(shapely.box(*boundary.min(axis=1).T, *boundary.max(axis=1).T))
    first, second = tree.query(shapely.box(*low.T, *high.T))
    return first, second


def _corner_circles(
    x: NDArray[np.float64], y: NDArray[np.float64], gap_mm: float | NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where x = 0 cuts the circles about the corners whose radius is the gap."""
    square = gap_mm * gap_mm - x * x
    half = np.sqrt(np.maximum(square, 0.0))
    hit = square >= 0.0
    return np.where(hit, y - half, np.inf), np.where(hit, y + half, -np.inf)


def _moved_sides(
    x: NDArray[np.float64], y: NDArray[np.float64], gap_mm: float | NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where x = 0 cuts the polygons' sides, each moved out by the gap to both hands."""
    dx, dy = np.roll(x, -1, axis=0) - x, np.roll(y, -1, axis=0) - y
    length = np.hypot(dx, dy)
    upright = np.abs(dx) < _UPRIGHT_MM
    safe_dx, safe_length = np.where(upright, 1.0, dx), np.where(length > 0.0, length, 1.0)
    low, high = np.full(x.shape, np.inf), np.full(x.shape, -np.inf)
    for hand in (-1.0, 1.0):
        start_x = x - hand * gap_mm * dy / safe_length
        start_y = y + hand * gap_mm * dx / safe_length
        along = -start_x / safe_dx
        cut = start_y + along * dy
        hit = ~upright & (along >= 0.0) & (along <= 1.0)
        low = np.where(hit, np.minimum(low, cut), low)
        high = np.where(hit, np.maximum(high, cut), high)
    return low, high
