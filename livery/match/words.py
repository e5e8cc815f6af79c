"""What drove a difference, and what would settle a doubt, in plain words."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from livery.colour import ciede2000_terms
from livery.match.decision import GUARD

Floats = NDArray[np.float64]

_NOTICED = 0.25
"""Weighted difference below which a direction is not named. Source: workshop-choice."""

_NEUTRAL_CHROMA = 6.0
"""Chroma C* below which a hue angle says nothing of a colour. Source: workshop-choice."""


def describe(lab_a: Floats, lab_b: Floats) -> str:
    """How b differs from a: ``slightly darker, a touch redder``; ``alike`` if hardly.

    Args:
        lab_a: CIELAB D50/2°, shape (3,).
        lab_b: likewise.

    Source:
        sharma-2005
    """
    terms = ciede2000_terms(lab_a, lab_b)
    lightness = float(terms.lightness_weighted)
    parts = [(lightness, "lighter" if lightness > 0 else "darker")]
    if min(np.hypot(*lab_a[1:]), np.hypot(*lab_b[1:])) < _NEUTRAL_CHROMA:
        parts += _neutral_parts(lab_a, lab_b)
    else:
        chroma, hue = float(terms.chroma_weighted), float(terms.hue_weighted)
        parts.append((chroma, "stronger in colour" if chroma > 0 else "weaker in colour"))
        parts.append((hue, _hue_word(lab_a, lab_b, math.copysign(1.0, hue))))
    parts = sorted(parts, key=lambda part: -abs(part[0]))
    named = [f"{_degree(size)}{word}" for size, word in parts if abs(size) >= _NOTICED]
    return " and ".join(named) if len(named) < 3 else f"{named[0]}, {named[1]} and {named[2]}"


def _neutral_parts(lab_a: Floats, lab_b: Floats) -> list[tuple[float, str]]:
    """Near grey, a* and b* say more than chroma and hue."""
    a, b = (float(value) for value in lab_b[1:] - lab_a[1:])
    return [(a, "redder" if a > 0 else "greener"), (b, "yellower" if b > 0 else "bluer")]


def _hue_word(lab_a: Floats, lab_b: Floats, sense: float) -> str:
    """Towards which of red, yellow, green and blue the hue turns."""
    middle = (lab_a + lab_b)[1:]
    turn = sense * np.array([-middle[1], middle[0]])
    if abs(turn[0]) > abs(turn[1]):
        return "redder" if turn[0] > 0 else "greener"
    return "yellower" if turn[1] > 0 else "bluer"


def _degree(size: float) -> str:
    """An adverb for a weighted difference. Source: workshop-choice."""
    for most, word in ((0.6, "a touch "), (1.5, "slightly "), (4.0, "")):
        if abs(size) < most:
            return word
    return "much "


def say_difference(a: str, b: str, lab_a: Floats, lab_b: Floats) -> str:
    """A clause: ``bat is slightly darker than the aim``."""
    other = f"the {a}" if a in ("aim", "reference") else a
    words = describe(lab_a, lab_b)
    return f"{b} is {words} than {other}" if words else f"{b} and {other} look alike"


def say_pass(de00: float, tolerance: float, basis: str, clause: str) -> str:
    """A pass: how far inside, and what little there is."""
    return f"Inside the tolerance {tolerance:g} {basis} by {tolerance - de00:.2f}: {clause}."


def say_fail(de00: float, fail_above: float, tolerance: float, basis: str, clause: str) -> str:
    """A fail: how far outside even after its guard band."""
    outside = de00 - fail_above
    return (
        f"Outside the tolerance {tolerance:g} {basis} by {de00 - tolerance:.2f}, and by "
        f"{outside:.2f} with the guard band: {clause}."
    )


def say_doubt(
    de00: float, u95: float, sd: float, tolerance: float, clause: str, remedy: str
) -> str:
    """A re-shoot for want of certainty: what would settle it."""
    needed = abs(tolerance - de00) / GUARD
    text = f"{de00:.2f} ± {u95:.2f} does not settle on which side of {tolerance:g} it lies"
    if needed < 0.1 * sd:
        return f"{text}: {clause}. It is on the limit: settle it with a contact instrument."
    share = needed / sd
    return f"{text}: {clause}. The uncertainty must fall to {share:.0%} of this. {remedy}."


def say_stray(name: str, de00: float, tolerance: float, count: int) -> str:
    """A re-shoot for a region that fails by itself while the mean of all passes."""
    return (
        f"No verdict. {name} by itself reads {de00:.2f}, outside the tolerance {tolerance:g}; the "
        f"mean of {count} regions hides it. See whether it is this ink, and judge it apart, as an "
        "item of its own."
    )


def say_withheld(reasons: Sequence[str], clause: str) -> str:
    """A re-shoot for want of evidence."""
    stops = (f"{reason[:1].upper()}{reason[1:]}".rstrip(".") for reason in reasons)
    told = ". ".join(dict.fromkeys(stops))
    return f"No verdict. {told}. As far as it shows, {clause}."
