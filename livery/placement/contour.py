"""Which moves along y two outlines bar one another: by runs of sides, then by sides.

A run of sides lies within its slack of its chord. So two chords, with the gap wider by both slacks,
bar all that their sides do; where sides looked at already bar that, the others need no look. Of two
outlines of thousands of sides a few thousand pairs are looked at, and the answer is that of all.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from livery.placement.slides import SLACK_MM, Interval, barred_by_pairs

_FAN = 4  # runs that one of the next level is made of [source: workshop-choice]
_LEAST_MM2 = 1e-300  # of a chord's length squared, so that one of no length divides by more than 0
_FEW = 1024  # pairs that are looked at without more ado [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class _Runs:
    """Sides, or runs of neighbouring ones.

    Attributes:
        chords: from a run's first point to its last, shape (n, 2 ends, 2), mm.
        slack_mm: how far the run strays from its chord, shape (n,).
        first: index of each run's first side, shape (n,).
    """

    chords: NDArray[np.float64]
    slack_mm: NDArray[np.float64]
    first: NDArray[np.intp]

    def __len__(self) -> int:
        return len(self.first)


@dataclass(frozen=True, slots=True, eq=False)
class Contour:
    """The sides of an outline's rings.

    Attributes:
        levels: the sides, then ever longer runs of them, down to one; none of no sides.
    """

    levels: tuple[_Runs, ...]

    @property
    def sides(self) -> NDArray[np.float64]:
        """Shape (n, 2 ends, 2), mm."""
        return self.levels[0].chords if self.levels else np.empty((0, 2, 2))

    def at(self, scale: float, origin: tuple[float, float]) -> Contour:
        """The contour at a scale, with its origin at a point, mm."""
        levels = [
            _Runs(scale * runs.chords + origin, scale * runs.slack_mm, runs.first)
            for runs in self.levels
        ]
        return Contour(tuple(levels))


def contour_of(sides: NDArray[np.float64]) -> Contour:
    """The contour of sides, neighbours beside one another, shape (n, 2 ends, 2), mm."""
    if not len(sides):
        return Contour(())
    levels = [_Runs(sides, np.zeros(len(sides)), np.arange(len(sides)))]
    while len(levels[-1]) > 1:
        levels.append(_lengthened(levels[-1]))
    return Contour(tuple(levels))


def barred_slides(
    moving: Contour, still: Contour, gap_mm: float, reach: Interval
) -> NDArray[np.float64]:
    """Moves along y that bring a contour nearer than a gap to another.

    Args:
        moving: the decal's, in the surface's frame.
        still: what to keep away from.
        gap_mm: 0 bars crossing alone; touching is allowed.
        reach: moves of interest; others may be left out.

    Returns:
        Open intervals, shape (n, 2), mm; together they are the barred moves.
    """
    known = np.empty((0, 2))
    if not moving.levels or not still.levels:
        return known
    low, high = reach[0] - SLACK_MM, reach[1] + SLACK_MM
    ladder = _ladder(moving, still)
    i, j = np.indices([len(runs) for runs in ladder[0]]).reshape(2, -1)
    for (own, other), finer in pairwise(ladder):
        wide = gap_mm + own.slack_mm[i] + other.slack_mm[j]
        found, kept = _barred(own.chords[i], other.chords[j], wide, (low, high))
        i, j = i[kept], j[kept]
        sides = moving.sides[own.first[i]], still.sides[other.first[j]]
        known = _joined(np.concatenate([known, _barred(*sides, gap_mm, (low, high))[0]]))
        told = _lie_within(np.clip(found, low, high), known)
        i, j = _finer_pairs(i[~told], j[~told], *map(len, finer))
    last = _barred(moving.sides[i], still.sides[j], gap_mm, (low, high))[0]
    return np.concatenate([known, last])


def _lengthened(runs: _Runs) -> _Runs:
    """Runs of neighbouring runs."""
    first = np.arange(0, len(runs), _FAN)
    last = np.append(first[1:], len(runs)) - 1
    chords = np.stack([runs.chords[first, 0], runs.chords[last, 1]], axis=1)
    own = np.repeat(chords, last - first + 1, axis=0)
    stray = np.maximum(*(_distance(runs.chords[:, end], own) for end in (0, 1))) + runs.slack_mm
    return _Runs(chords, np.maximum.reduceat(stray, first), runs.first[first])


def _distance(points: NDArray[np.float64], chords: NDArray[np.float64]) -> NDArray[np.float64]:
    """From each point to its own chord, mm."""
    along, away = chords[:, 1] - chords[:, 0], points - chords[:, 0]
    square = np.maximum((along * along).sum(axis=1), _LEAST_MM2)
    share = np.clip((along * away).sum(axis=1) / square, 0.0, 1.0)
    distance: NDArray[np.float64] = np.hypot(*(away - share[:, None] * along).T)
    return distance


def _ladder(moving: Contour, still: Contour) -> list[tuple[_Runs, _Runs]]:
    """Levels of both, from one whose pairs are few to the sides."""
    deep = max(len(moving.levels), len(still.levels))
    levels = [
        (moving.levels[min(n, len(moving.levels) - 1)], still.levels[min(n, len(still.levels) - 1)])
        for n in range(deep)
    ]
    few = next(n for n, (own, other) in enumerate(levels) if len(own) * len(other) <= _FEW)
    return levels[few::-1]


def _barred(
    sides: NDArray[np.float64],
    others: NDArray[np.float64],
    gap_mm: float | NDArray[np.float64],
    reach: Interval,
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """What pairs bar within reach, and which of them bar anything there."""
    found = barred_by_pairs(sides, others, gap_mm)
    low, high = found.T
    kept = (low < high) & (low < reach[1]) & (high > reach[0])
    return found[kept], kept


def _finer_pairs(
    i: NDArray[np.intp], j: NDArray[np.intp], own: int, other: int
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Pairs of the finer runs that pairs of runs are made of; ``own`` and ``other`` count those."""
    step = np.arange(_FAN)
    a = np.repeat(i[:, None] * _FAN + step, _FAN, axis=1).ravel()
    b = np.tile(j[:, None] * _FAN + step, (1, _FAN)).ravel()
    real = (a < own) & (b < other)
    return a[real], b[real]


def _joined(barred: NDArray[np.float64]) -> NDArray[np.float64]:
    """The same open intervals in order, those that overlap as one."""
    low, high = barred[np.argsort(barred[:, 0])].T
    reached = np.maximum.accumulate(high)
    apart = low[1:] >= reached[:-1]
    edge = np.ones(min(1, len(low)), dtype=bool)
    starts, ends = np.concatenate([edge, apart]), np.concatenate([apart, edge])
    return np.stack([low[starts], reached[ends]], axis=1)


def _lie_within(intervals: NDArray[np.float64], known: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether each interval lies in one of those known, which are apart and in order."""
    at = np.searchsorted(known[:, 0], intervals[:, 0], side="right") - 1
    reached = np.concatenate([known[:, 1], [-np.inf]])  # for those before all that is known
    inside: NDArray[np.bool_] = intervals[:, 1] <= reached[at]
    return inside
