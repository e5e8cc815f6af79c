"""A part as a fit handles it: its area in every form that is asked for, each made once."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.geometry import Area
from livery.placement.bounds import area_of
from livery.placement.contour import Contour, contour_of
from livery.placement.hulls import Hull, hull_of
from livery.placement.intent import Part, Point
from livery.placement.sides import inner_points, segments_of, triangles_of


class Figure:
    """A part's area in its intent's frame, ready to be scaled and moved.

    Args:
        part: of an intent.

    Attributes:
        sides: at nominal size, shape (n, 2 ends, 2), mm.
        inner: a point well inside each of its polygons at nominal size, shape (n, 2), mm.
        near_mm, far_mm: y of its ends nearest the handle and the toe at nominal size.
    """

    def __init__(self, part: Part) -> None:
        self._area = area_of(part)
        self.sides = segments_of(self._area)
        self.inner = inner_points([self._area])
        _, self.near_mm, _, self.far_mm = part.box

    @property
    def star_shaped(self) -> bool:
        """Whether the origin sees the whole outline: then whatever fits, fits smaller too."""
        start, end = self.sides[:, 0], self.sides[:, 1]
        turning = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
        one_ring = bool(np.array_equal(end[:-1], start[1:]))
        return one_ring and bool(np.all(turning >= 0.0) or np.all(turning <= 0.0))

    @cached_property
    def triangles(self) -> NDArray[np.float64]:
        """Its area at nominal size, shape (n, 3 corners, 2), mm."""
        return triangles_of(self._area)

    def area_at(self, scale: float, at: Point) -> Area:
        """Its area at a scale, with the intent's origin at a point, mm."""
        placed: Area = shapely.affinity.affine_transform(self._area, [scale, 0, 0, scale, *at])
        return placed

    def contour_at(self, scale: float, at: Point) -> Contour:
        """Its sides at a scale, with the intent's origin at a point, mm."""
        return self._contour.at(scale, at)

    def hull_at(self, scale: float, at: Point) -> Hull:
        """Its convex hull at a scale, with the intent's origin at a point, mm."""
        return self._hull.at(scale, at)

    @cached_property
    def _contour(self) -> Contour:
        return contour_of(self.sides)

    @cached_property
    def _hull(self) -> Hull:
        return hull_of(self._area)
