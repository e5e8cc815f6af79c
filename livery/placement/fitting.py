"""The largest scale, then the smallest move, for which every limit on a decal holds at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.limits import envelop
from livery.placement.bounds import Area, Bounds, Edge, Wall, segments_of
from livery.placement.intent import Intent
from livery.placement.slides import (
    SLACK_MM,
    Interval,
    barred_at_both,
    barred_slides,
    chain_closes,
    free_slides,
)

SCALE_STEP = 1e-11
"""Scales nearer than this are one. [source: workshop-choice]: 1e-9 mm on a 100 mm decal."""

_LEAST_WINDOW = 1e-6  # narrower windows of scale between closed ones are not looked for


@dataclass(frozen=True, slots=True)
class Fit:
    """A scale (fraction of nominal size) and a move along y, mm."""

    scale: float
    slide_mm: float


class Fitter:
    """One decal on one surface, ready to be asked where it fits.

    Args:
        intent: the decal as graded.
        bounds: what holds it.
    """

    def __init__(self, intent: Intent, bounds: Bounds) -> None:
        self._intent, self._bounds = intent, bounds
        turned = shapely.affinity.affine_transform(
            envelop(intent.decal.outline), intent.turn.for_shapely
        )
        self._area: Area = turned
        self._sides = segments_of(turned)
        box = intent.decal.outline.transformed(intent.turn).bounds()
        self._near_mm, self._far_mm = box[1], box[3]
        self._monotone = _sees_all(self._sides)

    def largest(self, least: float, greatest: float, slide_mm: float) -> Fit | None:
        """The largest scale that fits, with its smallest move.

        Args:
            least: smallest scale allowed.
            greatest: largest scale allowed.
            slide_mm: largest move along y, either way.

        Returns:
            None when nothing within the allowed range fits.
        """
        least = max([least, *(scale - SCALE_STEP for _, scale in self._bounds.least_scales)])
        greatest = min([greatest, *(scale for _, scale in self._bounds.greatest_scales)])
        if least > greatest + SCALE_STEP:
            return None
        best = self._search(min(least, greatest), greatest, slide_mm)
        if best is None:
            return None
        slide = self.smallest_slide(best, slide_mm)
        return None if slide is None else Fit(best, slide)

    def smallest_slide(self, scale: float, slide_mm: float) -> float | None:
        """The smallest move along y that fits at a scale; towards the handle when two tie."""
        within = self._window(scale, slide_mm)
        if within[0] > within[1]:
            return None
        free = free_slides(self._barred(scale, within), within)
        for interval in sorted(free, key=lambda part: abs(_nearest_zero(part))):
            slide = _nearest_zero(interval)
            if self._holds(scale, slide):
                return slide
        return None

    def shortages(self, scale: float, slide_mm: float) -> dict[str, float]:
        """By how many mm each rule is broken at a scale and move; rules that hold are left out."""
        y = self._intent.y_mm + slide_mm
        found: dict[str, float] = {}
        for edge in self._bounds.edges:
            short = (
                edge.y_mm - (y + scale * self._near_mm)
                if edge.near
                else y + scale * self._far_mm - edge.y_mm
            )
            found[edge.rule] = max(found.get(edge.rule, short), short)
        area = self._placed(scale, slide_mm)
        for wall in self._bounds.walls:
            short = wall.shortage_mm(area)
            found[wall.rule] = max(found.get(wall.rule, short), short)
        for rule, least in self._bounds.least_scales:
            found[rule] = (least - scale) * self._intent.decal.width_mm
        for rule, greatest in self._bounds.greatest_scales:
            found[rule] = (scale - greatest) * self._intent.decal.width_mm
        return {rule: short for rule, short in found.items() if short > 2 * SLACK_MM}

    def _search(self, least: float, greatest: float, slide_mm: float) -> float | None:
        def fits(scale: float) -> bool:
            return self.smallest_slide(scale, slide_mm) is not None

        if fits(greatest):
            return greatest
        if greatest - least < SCALE_STEP:
            return None
        if self._monotone and not fits(least):
            return None
        low, high = least, greatest
        if not self._monotone:
            window = self._highest_window(least, greatest, slide_mm)
            if window is None:
                return None
            low, high = window
        while high - low > SCALE_STEP:
            middle = (low + high) / 2.0
            low, high = (middle, high) if fits(middle) else (low, middle)
        return low

    def _highest_window(self, least: float, greatest: float, slide_mm: float) -> Interval | None:
        """(fits, does not): a pair of scales with no better fit above, for awkward outlines.

        Spans that one chain of barred intervals closes at both ends are closed between, as each
        barred set is convex over scale and move; others are halved, the upper half first.
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
        start, end = -slide_mm, slide_mm
        for edge in self._bounds.edges:
            moves = (self._edge_move(edge, low), self._edge_move(edge, high))
            if edge.near:
                start = max(start, min(moves) - SLACK_MM)
            else:
                end = min(end, max(moves) + SLACK_MM)
        if start > end:
            return True
        sides = (self._sides_at(low), self._sides_at(high))
        barred = [
            barred_at_both(sides, wall.segments, wall.gap_mm, (start, end))
            for wall in self._bounds.walls
        ]
        return bool(barred) and chain_closes(np.concatenate(barred), (start, end))

    def _edge_move(self, edge: Edge, scale: float) -> float:
        """The move that brings the decal's end to an edge."""
        end = self._near_mm if edge.near else self._far_mm
        return edge.y_mm - self._intent.y_mm - scale * end

    def _sides_at(self, scale: float) -> NDArray[np.float64]:
        sides: NDArray[np.float64] = scale * self._sides + (self._intent.x_mm, self._intent.y_mm)
        return sides

    def _window(self, scale: float, slide_mm: float) -> Interval:
        """Moves that the designer and the edges across the surface allow."""
        low, high = -slide_mm, slide_mm
        for edge in self._bounds.edges:
            move = self._edge_move(edge, scale)
            if edge.near:
                low = max(low, move - SLACK_MM)
            else:
                high = min(high, move + SLACK_MM)
        return low, high

    def _barred(self, scale: float, within: Interval) -> NDArray[np.float64]:
        sides = self._sides_at(scale)
        found = [
            barred_slides(sides, wall.segments, wall.gap_mm, within) for wall in self._bounds.walls
        ]
        return np.concatenate(found) if found else np.empty((0, 2))

    def _holds(self, scale: float, slide_mm: float) -> bool:
        """Whether a placement clear of every boundary is on the right side of each."""
        area = self._placed(scale, slide_mm)
        return all(_right_side(wall, area) for wall in self._bounds.walls)

    def _placed(self, scale: float, slide_mm: float) -> Area:
        x, y = self._intent.x_mm, self._intent.y_mm + slide_mm
        placed: Area = shapely.affinity.affine_transform(self._area, [scale, 0.0, 0.0, scale, x, y])
        return placed


def _right_side(wall: Wall, area: Area) -> bool:
    return wall.shortage_mm(area) <= 2 * SLACK_MM


def _nearest_zero(interval: Interval) -> float:
    return min(max(0.0, interval[0]), interval[1])


def _sees_all(sides: NDArray[np.float64]) -> bool:
    """Whether the origin sees the whole outline: then whatever fits, fits smaller too."""
    start, end = sides[:, 0], sides[:, 1]
    turning = start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]
    one_ring = bool(np.array_equal(end[:-1], start[1:]))
    return one_ring and bool(np.all(turning >= 0.0) or np.all(turning <= 0.0))
