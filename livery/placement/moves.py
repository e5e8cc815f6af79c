"""Moves of several decals at once: each within its own intervals, each pair's difference too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from livery.placement.slides import SLACK_MM, Interval

_ROUNDING_MM = SLACK_MM / 5.0
"""What is forgiven in asking whether moves exist; ten times as much in finding them, so that what
exists is found. [source: workshop-choice]."""

Pair = tuple[int, int]
_Differences = NDArray[np.float64]
"""Largest allowed difference of column less row, shape (n + 1, n + 1), mm; 0 stands for rest."""


def smallest_moves(
    own: Sequence[Sequence[Interval]], apart: Mapping[Pair, Sequence[Interval]]
) -> tuple[float, ...] | None:
    """The first decal's smallest move, then the second's beside it, and so on.

    Args:
        own: intervals of moves that each decal allows, mm.
        apart: for a pair (i, j), the intervals that j's move less i's may lie in.

    Returns:
        A move for each, or None where they cannot all be met.
    """
    fixed = [list(intervals) for intervals in own]
    for index in range(len(fixed)):
        ranges = [
            (-float(bounds[index + 1, 0]), float(bounds[0, index + 1]))
            for bounds in _choices(fixed, apart, 10.0 * _ROUNDING_MM)
        ]
        if not ranges:
            return None
        moves = [min(max(0.0, low), high) for low, high in ranges]
        best = min(moves, key=lambda move: (abs(move), move))
        fixed[index] = [(best, best)]
    return tuple(intervals[0][0] for intervals in fixed)


def moves_exist(
    own: Sequence[Sequence[Interval]], apart: Mapping[Pair, Sequence[Interval]]
) -> bool:
    """Whether any moves meet all intervals."""
    return next(_choices(own, apart, _ROUNDING_MM), None) is not None


def _choices(
    own: Sequence[Sequence[Interval]], apart: Mapping[Pair, Sequence[Interval]], forgiven_mm: float
) -> Iterator[_Differences]:
    """For every consistent choice of one interval each, the tightest bounds it implies."""
    start = np.full((len(own) + 1, len(own) + 1), np.inf)
    np.fill_diagonal(start, 0.0)
    either = [((0, index + 1), intervals) for index, intervals in enumerate(own)]
    either += [((i + 1, j + 1), intervals) for (i, j), intervals in apart.items()]
    either.sort(key=lambda entry: len(entry[1]))
    yield from _choose(start, either, forgiven_mm)


def _choose(
    bounds: _Differences, either: Sequence[tuple[Pair, Sequence[Interval]]], forgiven_mm: float
) -> Iterator[_Differences]:
    if not either:
        yield bounds
        return
    (pair, intervals), rest = either[0], either[1:]
    for low, high in intervals:
        tighter = _tighten(_tighten(bounds, pair, high), pair[::-1], -low)
        if tighter.diagonal().min() >= -forgiven_mm:
            yield from _choose(tighter, rest, forgiven_mm)


def _tighten(bounds: _Differences, pair: Pair, most: float) -> _Differences:
    """Bounds with one difference bounded, carried through to all others."""
    i, j = pair
    if most >= bounds[i, j]:
        return bounds
    through = bounds[:, i, None] + most + bounds[None, j, :]
    tighter: _Differences = np.minimum(bounds, through)
    return tighter
