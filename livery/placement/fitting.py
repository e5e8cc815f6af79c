"""The largest scale, then the smallest move, for which every limit on a decal holds at once."""

from __future__ import annotations

from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.geometry import Area
from livery.placement.bounds import Bounds, Edge, Wall
from livery.placement.contour import Contour, barred_slides, contour_of
from livery.placement.figure import Figure
from livery.placement.hulls import Hull, barred_beside, hull_of
from livery.placement.intent import Fit, Intent, Point
from livery.placement.scales import SCALE_STEP, bisect_scale
from livery.placement.sides import inner_points, triangles_of
from livery.placement.slides import (
    SLACK_MM,
    Interval,
    barred_at_both,
    chain_closes,
    cut_upright,
    free_slides,
)

_LEAST_WINDOW = 1e-6  # of scale; narrower ones are not looked for [source: workshop-choice]


class Fitter:
    """A decal, or a group of them, on one surface, ready to be asked where it fits.

    Args:
        intent: as graded.
        bounds: what holds it.

    Attributes:
        figures: one for each of the intent's parts.
        monotone: whether what fits at one scale surely fits at every smaller one.
    """

    def __init__(self, intent: Intent, bounds: Bounds) -> None:
        self._intent, self._bounds = intent, bounds
        self.figures = [Figure(part) for part in intent.parts]
        self._kept_out = [inner_points(wall.kept_out) for wall in bounds.walls]
        self.monotone = all(figure.star_shaped for figure in self.figures)

    def largest(self, least: float, greatest: float, slide_mm: float) -> Fit | None:
        """The largest scale that fits, with its smallest move.

        Args:
            least: smallest scale allowed.
            greatest: largest scale allowed.
            slide_mm: largest move along y, either way.

        Returns:
            None when nothing within the allowed range fits.
        """
        least, greatest = self.allowed(least, greatest)
        if least > greatest:
            return None
        best = self._search(least, greatest, slide_mm)
        if best is None:
            return None
        slide = self.smallest_slide(best, slide_mm)
        return None if slide is None else Fit(best, slide)

    def allowed(self, least: float, greatest: float) -> Interval:
        """What limits on size alone leave of a range of scales; least above greatest: nothing."""
        bounds = self._bounds
        forced = [scale for _, scale in bounds.least_scales]
        forced += [spacing.least_scale for spacing in bounds.spacings]
        floor = max([least, *(scale - SCALE_STEP for scale in forced)])
        ceiling = min([greatest, *(scale for _, scale in bounds.greatest_scales)])
        return (ceiling if 0.0 < floor - ceiling <= SCALE_STEP else floor), ceiling

    def smallest_slide(self, scale: float, slide_mm: float) -> float | None:
        """The smallest move along y that fits at a scale; towards the handle when two tie."""
        at = self._intent.origin
        within = self._window(scale, (-slide_mm, slide_mm), at)
        for interval in sorted(self._unbarred(scale, within, at), key=_least_move):
            slide = nearest_zero(interval)
            if self._holds(scale, slide, at):
                return slide
        return None

    def free_moves(self, scale: float, window: Interval, at: Point) -> list[Interval]:
        """Every move along y that fits at a scale, as closed intervals in order.

        Args:
            scale: fraction of nominal size.
            window: moves of interest.
            at: the intent's origin before the move, mm.
        """
        within = self._window(scale, window, at)
        return [
            interval
            for interval in self._unbarred(scale, within, at)
            if self._holds(scale, nearest_zero(interval), at)
        ]

    @cached_property
    def _wall_contours(self) -> list[Contour]:
        return [contour_of(wall.segments) for wall in self._bounds.walls]

    @cached_property
    def _wall_hulls(self) -> list[Hull | None]:
        """Hulls of what must be kept off; None where a decal stays inside."""
        return [
            None if wall.inside or wall.area.is_empty else hull_of(wall.area)
            for wall in self._bounds.walls
        ]

    def shortages(self, scale: float, slide_mm: float) -> dict[str, float]:
        """By how many mm each rule is broken at a scale and move; rules that hold are left out."""
        at = (self._intent.x_mm, self._intent.y_mm + slide_mm)
        found: dict[str, float] = {}

        def note(rule: str, short_mm: float) -> None:
            found[rule] = max(found.get(rule, short_mm), short_mm)

        for edge in self._bounds.edges:
            move = self._edge_move(edge, scale, at)
            note(edge.rule, move if edge.near else -move)
        areas = [figure.area_at(scale, at) for figure in self.figures]
        for wall in self._bounds.walls:
            note(wall.rule, wall.shortage_mm(areas[wall.part]))
        for spacing in self._bounds.spacings:
            note(spacing.rule, spacing.gap_mm - scale * spacing.apart_mm)
        for rule, least in self._bounds.least_scales:
            note(rule, (least - scale) * self._intent.width_mm)
        for rule, greatest in self._bounds.greatest_scales:
            note(rule, (scale - greatest) * self._intent.width_mm)
        return {rule: short for rule, short in found.items() if short > 2 * SLACK_MM}

    def _search(self, least: float, greatest: float, slide_mm: float) -> float | None:
        """The largest scale of an allowed range that some move fits, None where none does."""

        def fits(scale: float) -> bool:
            return self.smallest_slide(scale, slide_mm) is not None

        if fits(greatest):
            return greatest
        if greatest - least < SCALE_STEP:
            return None
        if self.monotone and not fits(least):
            return None
        low, high = least, greatest
        if not self.monotone:
            window = self._highest_window(least, greatest, slide_mm)
            if window is None:
                return None
            low, high = window
        return bisect_scale(low, high, fits)

    def _highest_window(self, least: float, greatest: float, slide_mm: float) -> Interval | None:
        """(fits, does not): a pair of scales with no better fit above, for awkward outlines.

        Spans that one chain of barred sets closes at both ends are closed between, as each of
        them is convex over scale and move; others are halved, the upper half first.
        """
        spans = [(least, greatest)]
        while spans:
            low, high = spans.pop()
            if self.smallest_slide(low, slide_mm) is not None:
                if high - low <= _LEAST_WINDOW:
                    return low, high
            elif self._closed_between(low, high, slide_mm) or high - low <= _LEAST_WINDOW:
                continue
            middle = (low + high) / 2.0
            spans += [(low, middle), (middle, high)]
        return None

    def _closed_between(self, low: float, high: float, slide_mm: float) -> bool:
        """Whether nothing fits at any scale between two at which nothing fits."""
        at = self._intent.origin
        start, end = -slide_mm, slide_mm
        for edge in self._bounds.edges:
            moves = (self._edge_move(edge, low, at), self._edge_move(edge, high, at))
            if edge.near:
                start = max(start, min(moves) - SLACK_MM)
            else:
                end = min(end, max(moves) + SLACK_MM)
        if start > end:
            return True
        sides = [(low * one.sides + at, high * one.sides + at) for one in self.figures]
        barred = [
            barred_at_both(sides[wall.part], wall.segments, wall.gap_mm, (start, end))
            for wall in self._bounds.walls
        ]
        astray = np.stack([self._astray(low, at), self._astray(high, at)], axis=1)
        barred.append(astray[(astray[..., 0] < astray[..., 1]).all(axis=1)])
        return chain_closes(np.concatenate(barred), (start, end))

    @cached_property
    def _wrong_sides(self) -> list[NDArray[np.float64]]:
        """What lies on the wrong side of each wall, in triangles."""
        return [triangles_of(wall.wrong_side) for wall in self._bounds.walls]

    def _astray(self, scale: float, at: Point) -> NDArray[np.float64]:
        """Moves that put a decal on the wrong side of a wall, or over what it must keep off.

        A point of one in a triangle of the other: each such set is convex over scale and move.

        Returns:
            Intervals, shape (n, 2), in one order at every scale; low above high where empty.
        """
        found = [np.empty((0, 2))]
        for n, wall in enumerate(self._bounds.walls):
            figure = self.figures[wall.part]
            cells = scale * figure.triangles
            found += [cut_upright(point - at - cells) for point in self._kept_out[n]]
            points = scale * figure.inner + at
            found += [cut_upright(self._wrong_sides[n] - point) for point in points]
        return np.concatenate(found)

    def _edge_move(self, edge: Edge, scale: float, at: Point) -> float:
        """The move that brings a part's end to an edge."""
        figure = self.figures[edge.part]
        end_mm = figure.near_mm if edge.near else figure.far_mm
        return edge.y_mm - at[1] - scale * end_mm

    def _window(self, scale: float, window: Interval, at: Point) -> Interval:
        """What the edges across the surface leave of a window of moves."""
        low, high = window
        for edge in self._bounds.edges:
            move = self._edge_move(edge, scale, at)
            if edge.near:
                low = max(low, move - SLACK_MM)
            else:
                high = min(high, move + SLACK_MM)
        return low, high

    def _unbarred(self, scale: float, within: Interval, at: Point) -> list[Interval]:
        """Moves that come too near to no boundary, on whichever side of it."""
        if within[0] > within[1]:
            return []
        found = [self._barred(n, scale, within, at) for n in range(len(self._bounds.walls))]
        return free_slides(np.concatenate(found) if found else np.empty((0, 2)), within)

    def _barred(
        self, number: int, scale: float, within: Interval, at: Point
    ) -> NDArray[np.float64]:
        """Moves that come too near to one wall's boundary."""
        wall, still = self._bounds.walls[number], self._wall_hulls[number]
        moving = self.figures[wall.part]

        def contours() -> tuple[Contour, Contour]:
            return moving.contour_at(scale, at), self._wall_contours[number]

        if still is None:
            return barred_slides(*contours(), wall.gap_mm, within)
        return barred_beside(moving.hull_at(scale, at), still, wall.gap_mm, within, contours)

    def _holds(self, scale: float, slide_mm: float, at: Point) -> bool:
        """Whether a placement clear of every boundary is on the right side of each."""
        moved = (at[0], at[1] + slide_mm)
        areas = [figure.area_at(scale, moved) for figure in self.figures]
        points = [scale * figure.inner + moved for figure in self.figures]
        return all(
            _right_side(wall, areas[wall.part], points[wall.part], kept_out)
            for wall, kept_out in zip(self._bounds.walls, self._kept_out, strict=True)
        )


def nearest_zero(interval: Interval) -> float:
    """The point of an interval that is nearest to 0."""
    return min(max(0.0, interval[0]), interval[1])


def _least_move(interval: Interval) -> float:
    return abs(nearest_zero(interval))


def _right_side(
    wall: Wall, area: Area, inner: NDArray[np.float64], kept_out: NDArray[np.float64]
) -> bool:
    """Whether an area that does not cross a wall lies on its right side.

    Args:
        wall: whose boundary the area keeps clear of.
        area: a decal's.
        inner: a point well inside each of the area's polygons, mm.
        kept_out: a point well inside each polygon that the wall keeps the area off.
    """
    within = shapely.contains_xy(wall.area, *inner.T)
    if not (within.all() if wall.inside else not within.any()):
        return False
    if wall.inside:
        low, high = np.reshape(area.bounds, (2, 2))
        floor, ceiling = np.reshape(wall.area.bounds, (2, 2))
        if (low < floor - SLACK_MM).any() or (high > ceiling + SLACK_MM).any():
            return False
    return not shapely.contains_xy(area, *kept_out.T).any()
