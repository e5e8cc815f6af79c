"""Where one convex outline may slide along y past another: a single interval, from few sides.

The moves that bring A within g of B are those d for which (0, d) lies within g of the Minkowski sum
of B and −A. For convex outlines its sides are theirs, in order of direction, so that n + m sides
tell what n × m pairs of sides would.

Source:
    sum of convex polygons, section 13.3 [source: de-berg-2008]
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import Polygon, orient

from livery.geometry import Area
from livery.placement.contour import Contour, barred_slides
from livery.placement.slides import Interval, barred_past

_FLAT_MM = 1e-10  # a hollow this shallow on average is rounding [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Hull:
    """The convex hull of an area.

    Attributes:
        corners: counter-clockwise, shape (n, 2), mm.
        exact: whether the area is its hull.
    """

    corners: NDArray[np.float64]
    exact: bool

    def at(self, scale: float, origin: tuple[float, float]) -> Hull:
        """The hull at a scale, with its origin at a point, mm."""
        return Hull(scale * self.corners + origin, self.exact)


def hull_of(area: Area) -> Hull:
    """The convex hull of an area that is not empty."""
    hull = orient(cast("Polygon", shapely.convex_hull(area)))
    exact = hull.area - area.area <= _FLAT_MM * hull.length
    return Hull(np.asarray(hull.exterior.coords)[:-1, :2], bool(exact))


def barred_hulls(moving: Hull, still: Hull, gap_mm: float) -> NDArray[np.float64]:
    """Moves along y that bring one hull nearer than a gap to another, or into it.

    Returns:
        One open interval or none, shape (0 or 1, 2), mm.
    """
    return barred_past(_sum_of(still.corners, -moving.corners), gap_mm)


def barred_beside(
    moving: Hull,
    still: Hull,
    gap_mm: float,
    within: Interval,
    contours: Callable[[], tuple[Contour, Contour]],
) -> NDArray[np.float64]:
    """Moves that bring an area nearer than a gap to another: by hulls where they tell.

    Args:
        moving: hull of the area that moves.
        still: hull of the other.
        gap_mm: 0 bars crossing alone.
        within: moves of interest; others may be left out.
        contours: of the two areas, asked for only where hulls do not tell.

    Returns:
        Open intervals, shape (n, 2), mm; of two convex areas also where one is in the other.
    """
    whole = barred_hulls(moving, still, gap_mm)
    if not len(whole) or (moving.exact and still.exact):
        return whole
    ((low, high),) = whole.tolist()  # beyond it nothing is near
    return barred_slides(*contours(), gap_mm, (max(low, within[0]), min(high, within[1])))


def _sum_of(one: NDArray[np.float64], other: NDArray[np.float64]) -> NDArray[np.float64]:
    """Corners of the Minkowski sum of two convex polygons."""
    starts, sides = zip(*(_from_lowest(corners) for corners in (one, other)), strict=True)
    merged = np.concatenate(sides)
    order = np.argsort(_turns(merged), kind="stable")
    steps = np.cumsum(merged[order][:-1], axis=0)
    corners: NDArray[np.float64] = sum(starts) + np.concatenate([np.zeros((1, 2)), steps])
    return corners


def _turns(sides: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far each side has turned from +x, counter-clockwise: 0 to 4, rising as its angle does.

    Of quotients alone, which every machine has alike, as it has not angles.
    """
    along, up = sides.T
    share = up / (np.abs(along) + np.abs(up))
    turned: NDArray[np.float64] = np.where(up < 0.0, 4.0 + share, share)
    return np.where(along < 0.0, 2.0 - share, turned)


def _from_lowest(corners: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The lowest corner, the leftmost of several, and the sides on from it."""
    first = int(np.lexsort(corners.T)[0])
    turned = np.roll(corners, -first, axis=0)
    return turned[0], np.roll(turned, -1, axis=0) - turned
