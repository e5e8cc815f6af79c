"""Does it match: a pair, a number, its uncertainty, and what may be said."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from livery.drawing import LabColour

_Row = tuple[float, float, float]
Covariance = tuple[_Row, _Row, _Row]
"""Of a colour or a difference, in L*, a* and b*, row by row."""


class Verdict(StrEnum):
    """What the evidence allows one to say."""

    PASS = "pass"
    FAIL = "fail"
    RESHOOT = "re-shoot"


AIM = "aim"
REFERENCE = "reference"

Titles = Mapping[str, str]
"""What people call items, by key; an item that is not in it goes by its key."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """One ink, two things compared.

    Attributes:
        a, b: item names; ``a`` may be ``aim`` or ``reference``.
        de00: ΔE00 of the means.
        u95: half-width of its 95 % interval.
        p_inside: probability that the true ΔE00 is within tolerance.
        reason: what drove it, or what would settle it, in plain words.
        basis: whose tolerance it is.
        noise_de00: what noise alone would read if the two were the same; never subtracted.
        lab_a, lab_b: the two colours, D50/2°.
        cov: covariance of ``lab_b - lab_a``.
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
    basis: str = ""
    noise_de00: float = 0.0
    lab_a: LabColour | None = None
    lab_b: LabColour | None = None
    cov: Covariance | None = None

    @property
    def margin(self) -> float:
        """How far inside the tolerance; negative is outside."""
        return self.tolerance - self.de00


def name_items(comparisons: Iterable[Comparison], titles: Titles) -> tuple[Comparison, ...]:
    """Comparisons as people read them: items by name."""
    return tuple(
        replace(one, a=titles.get(one.a, one.a), b=titles.get(one.b, one.b)) for one in comparisons
    )


def tally_verdicts(comparisons: Iterable[Comparison]) -> dict[Verdict, int]:
    """How many of each verdict there are, in the order of ``Verdict``."""
    found = [one.verdict for one in comparisons]
    return {verdict: found.count(verdict) for verdict in Verdict}


def all_pass(comparisons: Iterable[Comparison]) -> bool:
    """Whether every one is a pass, and there is one: nothing judged is nothing that matches."""
    counts = tally_verdicts(comparisons)
    return counts[Verdict.PASS] > 0 and counts[Verdict.PASS] == sum(counts.values())


@dataclass(frozen=True, slots=True)
class Remark:
    """What the evidence does not cover, or covers thinly.

    Attributes:
        item: the item it is about, or "".
        unjudged: whether something was seen and no verdict came of it.
    """

    ink: str
    item: str
    text: str
    unjudged: bool = False
