"""Individuals and moving ranges: is a process one process, or does it drift along the batch?"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from livery.errors import ColourError

Floats = NDArray[np.float64]

RANGE_MEAN = 2.0 / math.sqrt(math.pi)
"""d2 of two: mean range of two normal values, in standard deviations. Exact."""

RANGE_SD = math.sqrt(2.0 - 4.0 / math.pi)
"""d3 of two: standard deviation of that range. Exact."""

RANGE_LIMIT = 1.0 + 3.0 * RANGE_SD / RANGE_MEAN
"""D4 of two: upper limit of moving ranges over their mean."""

LEAST_POINTS = 8
"""Fewer points give no chart. Source: workshop-choice, the longest run that a rule asks for."""

SETTLED_POINTS = 20
"""Fewer points give provisional limits. Source: common-practice."""


class Rule(StrEnum):
    """What makes a point a signal."""

    BEYOND = "beyond three standard deviations"
    TWO_OF_THREE = "two of three beyond two standard deviations on one side"
    FOUR_OF_FIVE = "four of five beyond one standard deviation on one side"
    RUN = "eight in a row on one side"
    RANGE = "a jump beyond the limit of moving ranges"


_RULES = (
    (Rule.BEYOND, 1, 1, 3.0),
    (Rule.TWO_OF_THREE, 2, 3, 2.0),
    (Rule.FOUR_OF_FIVE, 4, 5, 1.0),
    (Rule.RUN, 8, 8, 0.0),
)
"""Rule; points needed, of how many; beyond how many standard deviations."""


@dataclass(frozen=True, slots=True)
class Signal:
    """A rule broken at a point; ``index`` is the last point that takes part."""

    index: int
    rule: Rule


@dataclass(frozen=True, slots=True, eq=False)
class ControlChart:
    """A chart of individuals with its moving ranges.

    Attributes:
        values: in the order of the batch, shape (n,).
        centre, sigma: mean, and standard deviation by the mean moving range.
        signals: in order.
        provisional: whether there are too few points for settled limits.
    """

    values: Floats
    centre: float
    sigma: float
    signals: tuple[Signal, ...]
    provisional: bool

    @property
    def limits(self) -> tuple[float, float]:
        """Lower and upper control limit."""
        return self.centre - 3.0 * self.sigma, self.centre + 3.0 * self.sigma


def chart_individuals(values: Sequence[float]) -> ControlChart:
    """Chart single values in order.

    Args:
        values: at least ``LEAST_POINTS``.

    Raises:
        ColourError: too few values, or not finite.

    Source:
        [source: western-electric] for the rules; [source: control-constants] for d2 and D4
    """
    points = np.asarray(values, dtype=np.float64)
    if points.ndim != 1 or points.size < LEAST_POINTS or not np.isfinite(points).all():
        raise ColourError(f"control chart: at least {LEAST_POINTS} finite values are needed.")
    ranges = np.abs(np.diff(points))
    mean_range = float(ranges.mean())
    centre, sigma = float(points.mean()), mean_range / RANGE_MEAN
    limit = RANGE_LIMIT * mean_range
    signals = _signals((points - centre) / sigma, ranges, limit) if sigma > 0.0 else ()
    return ControlChart(points, centre, sigma, signals, points.size < SETTLED_POINTS)


def _signals(scaled: Floats, ranges: Floats, limit: float) -> tuple[Signal, ...]:
    found = []
    for index in range(scaled.size):
        for rule, needed, window, beyond in _RULES:
            part = scaled[max(0, index - window + 1) : index + 1]
            if part.size == window and _side(part, needed, beyond):
                found.append(Signal(index, rule))
        if index and ranges[index - 1] > limit:
            found.append(Signal(index, Rule.RANGE))
    return tuple(found)


def _side(part: Floats, needed: int, beyond: float) -> bool:
    """Whether enough points, the last among them, lie beyond on one side."""
    sides: tuple[Callable[[Floats], NDArray[np.bool_]], ...] = (
        lambda values: values > beyond,
        lambda values: values < -beyond,
    )
    return any(bool(side(part)[-1]) and int(side(part).sum()) >= needed for side in sides)
