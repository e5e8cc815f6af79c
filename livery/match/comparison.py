"""Every comparison that the evidence allows: against aims, against a reference, item by item."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from livery.capture.model import Capture, Sample
from livery.drawing import LabColour, lab_colour
from livery.match import words
from livery.match.decision import Judgement, judge
from livery.match.evidence import Shot, Shots, gather, mean_of, scatter
from livery.match.model import AIM, REFERENCE, Comparison, Covariance, Titles, Verdict
from livery.match.strays import Part, Stray, find_strays, pair_parts, parts_against
from livery.match.tolerance import Names, choose_tolerance
from livery.scheme.model import Palette, Tolerances

Floats = NDArray[np.float64]

_NOMINAL = (
    "The target's values are nominal, not measured on this print: have its patches measured and "
    "take the photograph again"
)
_NOMINAL_APART = (
    "The two were photographed apart, against a target whose values are nominal: lay both in one "
    "photograph, or have the target's patches measured"
)


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """One pair before judgement.

    Attributes:
        difference_cov: covariance of ``lab_b - lab_a``.
        withheld: why no verdict may be given, whatever the numbers.
        remedy: what would narrow the uncertainty most.
        parts: its regions one by one, where there are more than one.
    """

    ink: str
    a: str
    b: str
    lab_a: Floats
    lab_b: Floats
    difference_cov: Floats
    withheld: tuple[str, ...]
    remedy: str
    parts: tuple[Part, ...] = ()

    @property
    def a_known(self) -> bool:
        """Whether a is exact, as an aim is."""
        return self.a == AIM


def compare(
    evidence: Iterable[Capture | Sample],
    aims: Palette,
    tolerances: Tolerances | None = None,
    reference: Iterable[Capture | Sample] = (),
    *,
    names: Names | None = None,
    titles: Titles | None = None,
) -> tuple[Comparison, ...]:
    """Compare every ink of every item with its aim, with the reference, and item with item.

    In one photograph the error that its samples share cancels out of a pair; across photographs
    both count in full. A photograph that failed a gate gives no verdict, only its advice. Nothing
    passes of which a single region fails by itself.

    Args:
        evidence: captures, or bare samples of good photographs; items are their samples' items.
        aims: inks with aims and tolerances.
        tolerances: the season's; those of the palette alone unless given.
        reference: captures of what was signed off, item by item.
        names: what items answer to in ``tolerances.pairs`` (``item_names``).
        titles: what reasons call the items (``Scheme.item_titles``).

    Returns:
        By ink in the palette's order: aims, references, then pairs in the order of the items.

    Raises:
        InputError: an item is called ``aim`` or ``reference``.

    Source:
        jcgm-106, sharma-2005
    """
    cases = find_cases(evidence, aims, reference)
    if not cases:
        return ()
    season = tolerances or Tolerances()
    limits = [
        choose_tolerance(case.ink, case.a, case.b, aims, season, names or {}, titles)
        for case in cases
    ]
    judgement = judge(*stack(cases, [limit for limit, _ in limits]))
    strays = find_strays(cases, [limit for limit, _ in limits])
    return tuple(
        _conclude(case, judgement, index, limits[index][1], strays[index], titles or {})
        for index, case in enumerate(cases)
    )


def find_cases(
    evidence: Iterable[Capture | Sample], aims: Palette, reference: Iterable[Capture | Sample] = ()
) -> list[Case]:
    """Every pair that the evidence allows, in the order of ``compare``, before judgement.

    Raises:
        InputError: an item is called ``aim`` or ``reference``.
    """
    inks = [ink.key for ink in aims.inks]
    shots, signed = gather(evidence, inks), gather(reference, inks)
    return [case for ink in shots for case in _cases(ink, shots, signed, aims)]


def stack(
    cases: Sequence[Case], tolerances: Sequence[float]
) -> tuple[Floats, Floats, Floats, Floats, NDArray[np.bool_]]:
    """Cases and their tolerances as ``judge`` and ``decide`` take them."""
    return (
        np.array([case.lab_a for case in cases]),
        np.array([case.lab_b for case in cases]),
        np.array([case.difference_cov for case in cases]),
        np.array(tolerances),
        np.array([case.a_known for case in cases]),
    )


def _cases(ink: str, shots: Shots, signed: Shots, aims: Palette) -> Iterator[Case]:
    items = shots[ink]
    if ink in aims.keys:
        for item, own in items.items():
            yield _against_aim(ink, item, own, aims.ink(ink).lab)
    approved: Mapping[str, Sequence[Shot]] = signed.get(ink, {})
    for item, own in items.items():
        if item in approved:
            yield _pair(ink, (REFERENCE, approved[item]), (item, own))
    for a, b in combinations(items, 2):
        yield _pair(ink, (a, items[a]), (b, items[b]))


def _against_aim(ink: str, item: str, shots: Sequence[Shot], lab: LabColour) -> Case:
    usable = _best(shots, [shot for shot in shots if shot.absolute and not shot.advice])
    mean, cov = _pool([shot.lab for shot in usable], [shot.cov for shot in usable])
    withheld = _advice(usable)
    if not all(shot.absolute for shot in usable):
        withheld += (_NOMINAL,)
    own = sum(float(np.trace(shot.own_cov)) for shot in usable)
    shared = sum(float(np.trace(shot.shared_cov)) for shot in usable)
    remedy = (
        "Take a larger or smoother region, more light and a steadier camera"
        if own >= shared
        else "The camera's colour is the doubt: use even daylight and a target measured with "
        "patches near this ink, or lay an approved sample of the same material in the photograph"
    )
    aim = np.asarray(lab, dtype=np.float64)
    parts = parts_against(aim, np.zeros((3, 3)), usable)
    return Case(ink, AIM, item, aim, mean, cov, withheld, remedy, parts)


def _pair(ink: str, a: tuple[str, Sequence[Shot]], b: tuple[str, Sequence[Shot]]) -> Case:
    good = [[shot for shot in shots if not shot.advice] for shots in (a[1], b[1])]
    first, second = _best(a[1], good[0]), _best(b[1], good[1])
    together = [(one, other) for one in first for other in second if one.source == other.source]
    if together:
        return _pair_together(ink, a[0], b[0], together)
    lab_a, cov_a = _pool([shot.lab for shot in first], [shot.cov for shot in first])
    lab_b, cov_b = _pool([shot.lab for shot in second], [shot.cov for shot in second])
    withheld = _advice([*first, *second])
    if not all(shot.absolute for shot in [*first, *second]):
        withheld += (_NOMINAL_APART,)
    remedy = "Lay both in one photograph: most of the error is then common and cancels"
    parts = parts_against(lab_a, cov_a, second) + parts_against(lab_b, cov_b, first)
    return Case(ink, a[0], b[0], lab_a, lab_b, cov_a + cov_b, withheld, remedy, parts)


def _pair_together(ink: str, a: str, b: str, pairs: Sequence[tuple[Shot, Shot]]) -> Case:
    """Two items in the same photographs: what their samples share there cancels."""
    differences = [other.lab - one.lab for one, other in pairs]
    covs = [_positive(one.cov_beside(other) + other.cov_beside(one)) for one, other in pairs]
    mean, cov = _pool(differences, covs)
    lab_a = mean_of([one.lab for one, _ in pairs])
    withheld = _advice([shot for pair in pairs for shot in pair])
    remedy = "Sample larger, smoother regions side by side in even light, with the camera steadied"
    return Case(ink, a, b, lab_a, lab_a + mean, cov, withheld, remedy, pair_parts(pairs))


def _best(every: Sequence[Shot], good: Sequence[Shot]) -> Sequence[Shot]:
    """The good evidence; where there is none, whatever there is."""
    return good or every


def _advice(shots: Iterable[Shot]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text for shot in shots for text in shot.advice))


def _pool(labs: Sequence[Floats], covs: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Mean over photographs, and its covariance.

    More photographs by one camera share its errors, so their covariance is averaged, not
    divided; what they differ by among themselves is added.
    """
    return mean_of(labs), _positive(mean_of(covs) + scatter(np.array(labs)) / len(labs))


def _positive(cov: Floats) -> Floats:
    """The nearest covariance without negative variances, shape (3, 3)."""
    values, vectors = np.linalg.eigh((cov + cov.T) / 2.0)
    kept: Floats = (vectors * np.maximum(values, 0.0)) @ vectors.T
    return kept


def _conclude(
    case: Case,
    judgement: Judgement,
    index: int,
    basis: str,
    stray: Stray | None,
    titles: Titles,
) -> Comparison:
    numbers = {
        "de00": float(judgement.de00[index]),
        "u95": float(judgement.u95[index]),
        "p_inside": float(judgement.p_inside[index]),
        "tolerance": float(judgement.tolerance[index]),
        "noise_de00": float(judgement.noise[index]),
    }
    verdict = Verdict.RESHOOT if case.withheld else judgement.verdict(index)
    if verdict is Verdict.PASS and stray is not None:
        verdict = Verdict.RESHOOT
        reason = words.say_stray(stray.name, stray.de00, numbers["tolerance"], len(case.parts))
    else:
        a, b = titles.get(case.a, case.a), titles.get(case.b, case.b)
        clause = words.say_difference(a, b, case.lab_a, case.lab_b)
        reason = _reason(case, judgement, index, verdict, basis, clause)
    return Comparison(
        ink=case.ink,
        a=case.a,
        b=case.b,
        verdict=verdict,
        reason=reason,
        basis=basis,
        lab_a=lab_colour(case.lab_a),
        lab_b=lab_colour(case.lab_b),
        cov=_as_rows(case.difference_cov),
        **numbers,
    )


def _as_rows(cov: Floats) -> Covariance:
    (a, b, c), (d, e, f), (g, h, i) = cov.tolist()
    return (a, b, c), (d, e, f), (g, h, i)


def _reason(
    case: Case, judgement: Judgement, index: int, verdict: Verdict, basis: str, clause: str
) -> str:
    de00, sd = float(judgement.de00[index]), float(judgement.sd[index])
    tolerance, u95 = float(judgement.tolerance[index]), float(judgement.u95[index])
    if case.withheld:
        return words.say_withheld(case.withheld, clause)
    if verdict is Verdict.PASS:
        return words.say_pass(de00, tolerance, basis, clause)
    if verdict is Verdict.FAIL:
        return words.say_fail(de00, judgement.fail_above(index), tolerance, basis, clause)
    return words.say_doubt(de00, u95, sd, tolerance, clause, case.remedy)
