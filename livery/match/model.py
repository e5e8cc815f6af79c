"""Does it match: a pair, a number, its uncertainty, and what may be said."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """What the evidence allows one to say."""

    PASS = "pass"
    FAIL = "fail"
    RESHOOT = "re-shoot"


@dataclass(frozen=True, slots=True)
class Comparison:
    """One ink, two things compared.

    Attributes:
        a, b: item names; ``a`` may be ``aim``.
        de00: ΔE00 of the means.
        u95: half-width of its 95 % interval.
        p_inside: probability that the true ΔE00 is within tolerance.
        reason: what drove it, or what would settle it, in plain words.
    """

    ink: str
    a: str
    b: str
    de00: float
    u95: float
    p_inside: float
    tolerance: float
    verdict: Verdict
    reason: str
