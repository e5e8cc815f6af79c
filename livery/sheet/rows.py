"""Rows of equal silhouettes: how close they stand side by side, and one over the other.

Source: steps and margins [source: workshop-choice].
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.geometry import Area

_STEP_MM = 0.1
_HALVINGS = 8
_SLACK_STEPS = 6.0

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Row:
    """What repeats along a row: areas with their turns, and the pitch.

    Attributes:
        parts: (area, turn), each area in its own frame.
        offsets: x of each part's frame.
    """

    parts: tuple[tuple[Area, float], ...]
    offsets: tuple[float, ...]
    pitch: float

    @property
    def start(self) -> float:
        """Where its first box starts."""
        return min(
            offset + part.bounds[0]
            for (part, _), offset in zip(self.parts, self.offsets, strict=True)
        )

    @property
    def bottom(self) -> float:
        """Lowest point."""
        return float(min(part.bounds[1] for part, _ in self.parts))

    @property
    def top(self) -> float:
        """Highest point."""
        return float(max(part.bounds[3] for part, _ in self.parts))

    @property
    def height(self) -> float:
        """From lowest to highest."""
        return self.top - self.bottom

    def places(self, start_mm: float, width_mm: float) -> list[tuple[float, float]]:
        """Frame x and turn of every copy within a width, left to right.

        Args:
            start_mm: where one of its first boxes starts; the row reaches both ways from there.
            width_mm: of the sheet.
        """
        places = []
        for (part, turn), offset in zip(self.parts, self.offsets, strict=True):
            x0, _, x1, _ = part.bounds
            first = (start_mm + offset + x0 - self.start + 1e-9) % self.pitch
            count = math.floor((width_mm - (x1 - x0) - first) / self.pitch + 1e-9) + 1
            places += [(max(first - 1e-9, 0.0) - x0 + i * self.pitch, turn) for i in range(count)]
        return sorted(places)


def turned_row(area: Area, turn_deg: float) -> Row:
    """Copies of an area side by side."""
    return Row(((area, turn_deg),), (0.0,), beside(area, area))


def stretched(row: Row, pitch: float) -> Row:
    """A row with a wider pitch, its parts as evenly apart as before."""
    more = (pitch - row.pitch) / len(row.parts)
    offsets = tuple(offset + number * more for number, offset in enumerate(row.offsets))
    return Row(row.parts, offsets, pitch)


def beside(left: Area, right: Area) -> float:
    """Least dx at which ``right`` moved by (dx, 0) is clear of ``left``."""
    low = min(left.bounds[1], right.bounds[1])
    count = math.ceil((max(left.bounds[3], right.bounds[3]) - low) / _STEP_MM) + 1
    reach = _edge(left, 1, low, _STEP_MM, count, upper=True)
    begin = _edge(right, 1, low, _STEP_MM, count, upper=False)
    safe = max(float((reach - begin).max()), 0.0)
    return _least(left, right, (1.0, 0.0), (0.0, 0.0), safe, 0.0)


def rises_of(below: Row, over: Row) -> tuple[Numbers, float]:
    """Rise of a row above another of the same pitch at every shift, and the step of shifts.

    Each rise is no less than half the taller row, so that a row never reaches the one two below.
    """
    count = max(1, round(below.pitch / _STEP_MM))
    step = below.pitch / count
    reach = _wrapped(below, count, step, upper=True)
    floor = _wrapped(over, count, step, upper=False)
    doubled = np.concatenate([floor, floor])
    rolled = np.lib.stride_tricks.sliding_window_view(doubled, count)[count:0:-1]
    rises = (reach - rolled).max(axis=1)
    return np.maximum(rises, _least_rise(below, over)), step


def tightened(below: Row, over: Row, rise: float, shift: float) -> float:
    """The least rise by exact geometry, not far under the one found in steps."""
    above = shapely.MultiPolygon(_pieces(over, range(1)))
    x0, _, x1, _ = above.bounds
    one = shapely.MultiPolygon(_pieces(below, range(1))).bounds
    centred = shift + round((one[0] - x0 - shift) / below.pitch) * below.pitch
    first = math.floor((x0 + centred - one[2]) / below.pitch)
    last = math.ceil((x1 + centred - one[0]) / below.pitch)
    under = shapely.MultiPolygon(_pieces(below, range(first, last + 1)))
    return _least(under, above, (0.0, 1.0), (centred, 0.0), rise, _least_rise(below, over))


def _least_rise(below: Row, over: Row) -> float:
    """From frame to frame, that of boxes by half the taller."""
    return below.bottom - over.bottom + max(below.height, over.height) / 2.0


def _pieces(row: Row, pitches: range) -> list[shapely.Polygon]:
    return [
        piece
        for number in pitches
        for (part, _), offset in zip(row.parts, row.offsets, strict=True)
        for piece in shapely.get_parts(
            shapely.affinity.translate(part, offset + number * row.pitch, 0.0)
        )
    ]


def _least(
    still: Area,
    moving: Area,
    way: tuple[float, float],
    base: tuple[float, float],
    safe: float,
    floor: float,
) -> float:
    """Halve between a clear distance and one somewhat less, no less than a floor."""
    shapely.prepare(still)

    def clear(distance: float) -> bool:
        x, y = base[0] + way[0] * distance, base[1] + way[1] * distance
        return not still.intersects(shapely.affinity.translate(moving, x, y))

    high, low = safe, max(safe - _SLACK_STEPS * _STEP_MM, floor)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if clear(middle) else (middle, high)
    return high


def _edge(area: Area, axis: int, start: float, step: float, count: int, *, upper: bool) -> Numbers:
    """Greatest or least extent along the other axis in each step of ``axis``.

    Each step takes in its whole width and a little of its neighbours', so nothing narrow is
    missed.
    """
    points = shapely.get_coordinates(shapely.segmentize(area.boundary, step / 2.0))
    edge = np.full(count, -np.inf if upper else np.inf)
    for nudge in (-0.5, 0.0, 0.5):
        at = np.floor((points[:, axis] - start) / step + nudge).astype(int)
        kept = (at >= 0) & (at < count)
        (np.maximum if upper else np.minimum).at(edge, at[kept], points[kept, 1 - axis])
    return edge


def _wrapped(row: Row, count: int, step: float, *, upper: bool) -> Numbers:
    """A row's upper or lower edge over one pitch."""
    edge = np.full(count, -np.inf if upper else np.inf)
    for (part, _), offset in zip(row.parts, row.offsets, strict=True):
        x0, _, x1, _ = part.bounds
        first = math.floor((x0 + offset) / step) - 1
        bins = math.ceil((x1 - x0) / step) + 4
        own = _edge(part, 0, first * step - offset, step, bins, upper=upper)
        (np.maximum if upper else np.minimum).at(edge, (first + np.arange(bins)) % count, own)
    return edge
