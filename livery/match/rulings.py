"""Many captures, each judged by itself and by its verdicts alone: an archive, judged again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.capture.model import Capture
from livery.colour import ciede2000
from livery.match.comparison import Case, find_cases, stack
from livery.match.decision import decide
from livery.match.model import Verdict
from livery.match.strays import find_strays
from livery.match.tolerance import Names, choose_tolerance
from livery.scheme.model import Palette, Tolerances

_SAME_DE00 = 1e-9  # rounding, between one run and another; workshop choice

PairKey = tuple[str, str, str]
"""Ink, a and b."""


@dataclass(frozen=True, slots=True)
class Ruling:
    """One pair's verdict and what it was reached by.

    Attributes:
        a, b: item names; ``a`` may be ``aim``.
        de00: ΔE00 of the means.
    """

    ink: str
    a: str
    b: str
    de00: float
    tolerance: float
    verdict: Verdict

    @property
    def pair(self) -> PairKey:
        """What was compared."""
        return (self.ink, self.a, self.b)


Known = Mapping[PairKey, Ruling]
"""Rulings reached earlier on the same samples."""


def rule_each(
    captures: Sequence[Capture],
    aims: Palette,
    tolerances: Tolerances,
    *,
    names: Names,
    known: Sequence[Known] = (),
) -> tuple[tuple[Ruling, ...], ...]:
    """Judge each capture by itself; the verdicts are those of ``compare``.

    What was reached earlier of the same ΔE00 need not be followed again where the tolerance is
    the same, or where it passed and the tolerance is now wider.

    Args:
        captures: as read.
        aims: inks with aims and tolerances.
        tolerances: the season's.
        names: what items answer to (``item_names``).
        known: rulings on each capture, reached earlier by the same rule; or none.

    Returns:
        Rulings of each capture, in the order of ``compare``.

    Raises:
        InputError: an item is called ``aim`` or ``reference``.
    """
    found = [find_cases([capture], aims) for capture in captures]
    cases = [case for own in found for case in own]
    if not cases:
        return tuple(() for _ in captures)
    limits = [
        choose_tolerance(case.ink, case.a, case.b, aims, tolerances, names)[0] for case in cases
    ]
    de00 = ciede2000([case.lab_a for case in cases], [case.lab_b for case in cases])
    earlier = known or [{}] * len(captures)
    told = [before for own, before in zip(found, earlier, strict=True) for _ in own]
    verdicts = _verdicts(cases, limits, de00.tolist(), told)
    rulings = iter(
        Ruling(case.ink, case.a, case.b, float(value), limit, verdict)
        for case, value, limit, verdict in zip(cases, de00, limits, verdicts, strict=True)
    )
    return tuple(tuple(next(rulings) for _ in own) for own in found)


def _verdicts(
    cases: Sequence[Case], limits: Sequence[float], de00: Sequence[float], told: Sequence[Known]
) -> list[Verdict]:
    """Each case's verdict: from what was known, at a glance, or followed; then its strays'."""
    verdicts = [
        _without_following(case, limit, value, before)
        for case, limit, value, before in zip(cases, limits, de00, told, strict=True)
    ]
    left = [at for at, verdict in enumerate(verdicts) if verdict is None]
    if left:
        decided = decide(*stack([cases[at] for at in left], [limits[at] for at in left]))
        for at, verdict in zip(left, decided, strict=True):
            verdicts[at] = verdict
    passed = [at for at, verdict in enumerate(verdicts) if verdict is Verdict.PASS]
    strays = find_strays([cases[at] for at in passed], [limits[at] for at in passed])
    for at, stray in zip(passed, strays, strict=True):
        verdicts[at] = Verdict.PASS if stray is None else Verdict.RESHOOT
    return [verdict for verdict in verdicts if verdict is not None]


def _without_following(case: Case, limit: float, de00: float, before: Known) -> Verdict | None:
    """A verdict that needs no reckoning of chances, or None."""
    if case.withheld:
        return Verdict.RESHOOT
    old = before.get((case.ink, case.a, case.b))
    if old is None or abs(old.de00 - de00) > _SAME_DE00:
        return None
    if old.tolerance == limit:
        return old.verdict
    return Verdict.PASS if old.verdict is Verdict.PASS and limit > old.tolerance else None
