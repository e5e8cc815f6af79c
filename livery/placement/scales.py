"""Scales of several decals at once: the largest common share, then each as large as it can be."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from livery.placement.slides import Interval

SCALE_STEP = 1e-11
"""Scales nearer than this are one. [source: workshop-choice]: 1e-9 mm on a 100 mm decal."""

Scales = tuple[float, ...]
"""A fraction of nominal size for each of several decals."""

Holds = Callable[[Scales], bool]

_STEPS = 48
"""Common shares tried from the top where a smaller one may fail. [source: workshop-choice]."""

_LEAST_GAIN = 1e-9  # of a scale; growth by less is not looked for [source: workshop-choice]


def bisect_scale(low: float, high: float, holds: Callable[[float], bool]) -> float:
    """The largest scale that holds, between one that does and one that does not."""
    while high - low > SCALE_STEP:
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


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
    share = _largest_share(least, lambda share: holds(common(share)), 1 if monotone else _STEPS)
    return None if share is None else _grow(common(share), full, holds)


def _largest_share(least: float, holds: Callable[[float], bool], steps: int) -> float | None:
    """The largest share below 1, which does not hold: in steps from the top, then by bisection."""
    high = 1.0
    for step in range(1, steps + 1):
        low = 1.0 - (1.0 - least) * step / steps if step < steps else least
        if holds(low):
            return bisect_scale(low, high, holds)
        high = low
    return None


def _grow(scales: Scales, most: Scales, holds: Holds) -> Scales:
    """Let each in turn grow as far as the others, as they are by then, leave room."""
    for index, greatest in enumerate(most):
        scales = _grow_one(scales, index, greatest, holds)
    return scales


def _grow_one(scales: Scales, index: int, greatest: float, holds: Holds) -> Scales:
    def at(scale: float) -> Scales:
        return (*scales[:index], scale, *scales[index + 1 :])

    now = scales[index]
    if now >= greatest or not holds(at(min(greatest, now * (1.0 + _LEAST_GAIN)))):
        return scales
    if holds(at(greatest)):
        return at(greatest)
    return at(bisect_scale(now, greatest, lambda scale: holds(at(scale))))
