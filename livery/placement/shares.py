"""Scales of several decals at once: the largest common share, then each as large as it can be."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from livery.placement.fitting import SCALE_STEP
from livery.placement.slides import Interval

Scales = tuple[float, ...]
Holds = Callable[[Scales], bool]

_STEPS = 48
"""Common shares tried from the top where a smaller one may fail. [source: workshop-choice]."""


def largest_scales(
    graded: Sequence[float], ranges: Sequence[Interval], holds: Holds, *, monotone: bool
) -> Scales | None:
    """The scales of decals that compete for room.

    First the largest share of their graded sizes that all can have at once, but for those that
    may not shrink so far or grow so large; then, in turn, each grows as far as the others leave
    room with what they have. So nobody shrinks more than the tightest needs, decals that compete
    keep their proportions, and order settles what is left.

    Args:
        graded: scale wanted of each, in order of importance.
        ranges: least and greatest scale of each.
        holds: whether every limit holds at given scales.
        monotone: whether ``holds`` surely holds at every smaller common share; where not, common
            shares are tried in steps from the top before they are closed in on.

    Returns:
        None where nothing tried within the ranges holds.
    """
    if any(least > greatest for least, greatest in ranges):
        return None
    full = tuple(greatest for _, greatest in ranges)
    if holds(full):
        return full

    def common(share: float) -> Scales:
        pairs = zip(graded, ranges, strict=True)
        return tuple(min(max(share * scale, low), high) for scale, (low, high) in pairs)

    least = min(low / scale for scale, (low, _) in zip(graded, ranges, strict=True))
    share = _largest(least, 1.0, lambda share: holds(common(share)), 1 if monotone else _STEPS)
    return None if share is None else _grow(common(share), full, holds)


def _grow(scales: Scales, most: Scales, holds: Holds) -> Scales:
    for index, greatest in enumerate(most):

        def at(scale: float, index: int = index, scales: Scales = scales) -> Scales:
            return (*scales[:index], scale, *scales[index + 1 :])

        now = scales[index]
        if now >= greatest or not holds(at(min(greatest, now * (1.0 + 1e-9)))):
            continue
        if holds(at(greatest)):
            scales = at(greatest)
            continue
        grown = _largest(now, greatest, lambda scale, at=at: holds(at(scale)), 1)  # type: ignore[misc]
        scales = scales if grown is None else at(grown)
    return scales


def _largest(
    least: float, greatest: float, holds: Callable[[float], bool], steps: int
) -> float | None:
    """The largest number that holds, looked for in steps from the top, then by halving.

    ``greatest`` itself is known not to hold.
    """
    high = greatest
    for step in range(1, steps + 1):
        low = greatest - (greatest - least) * step / steps if step < steps else least
        if holds(low):
            break
        high = low
    else:
        return None
    while high - low > SCALE_STEP:
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
