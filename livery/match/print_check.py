"""Is a batch of sheets what was agreed: solids, tints, evenness, drift, and what to do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from livery.colour import ciede2000
from livery.drawing import LabColour, lab_colour
from livery.match import words
from livery.match.control_chart import LEAST_POINTS, chart_individuals
from livery.match.decision import Judgement, judge
from livery.match.model import Verdict
from livery.match.print_model import (
    InkCheck,
    Outcome,
    PatchReading,
    PrintCheck,
    Series,
    SheetCheck,
    TintCheck,
)
from livery.match.tints import check_tints
from livery.scheme.model import Palette

Floats = NDArray[np.float64]

INSTRUMENT_SD = 0.15
"""Standard deviation of a contact instrument's L*, a* and b*, each. Source: workshop-choice."""

SOURCES = (
    "Limits: individuals with moving ranges; rules: Western Electric, 1956 (known second-hand)",
    "Tone values: ISO 20654:2017 (from memory)",
)
"""What a reader of the check should know of its rules."""

EVEN_SHARE = 0.5
"""Share of an ink's tolerance that its places on one sheet may differ by. Source:
workshop-choice."""

Aims = Mapping[tuple[str, ...], LabColour]
Group = dict[tuple[str, ...], dict[str, list[PatchReading]]]
"""Inks to sheet to its readings."""


def check_print(
    readings: Iterable[PatchReading],
    palette: Palette,
    approved: Iterable[PatchReading] = (),
) -> PrintCheck:
    """Check a batch against the season's aims, or against an approved sheet.

    Solids are judged by the same rule as all verdicts: a sheet is accepted when each of its
    solids is inside tolerance with 95 % probability, rejected when one is outside with its guard
    band, else measured again; so it is where a solid was read and is no evidence. Drift is told,
    and rejects nothing that is inside tolerance.

    Args:
        readings: patches in the order of the batch.
        palette: aims and tolerances.
        approved: readings of the sheet that was approved; where it shows a patch, that is its aim.

    Source:
        [source: jcgm-106], [source: western-electric]
    """
    every = list(readings)
    usable = [one for one in every if not one.advice]
    agreed = list(approved)
    aims = _aims(palette, agreed)
    group = _group(one for one in usable if one.tint == 1.0 and one.inks in aims)
    inks = tuple(_check_ink(key, sheets, aims[key], palette) for key, sheets in group.items())
    blind = _group(one for one in every if one.advice and one.tint == 1.0 and one.inks in aims)
    order = list(dict.fromkeys(one.sheet for one in every))
    sheets = tuple(_check_sheet(sheet, group, blind, aims, palette) for sheet in order)
    tints = check_tints(usable, agreed)
    series = tuple(
        line
        for key, by_sheet in group.items()
        if len(key) == 1
        for line in _series(key[0], by_sheet, aims[key])
    )
    outcome, reasons = _conclude(inks, sheets, tints, palette, every)
    notes = _notes(every, series, palette, bool(agreed))
    return PrintCheck(outcome, reasons, inks, sheets, tints, series, notes)


def name_inks(inks: Sequence[str], palette: Palette) -> str:
    """``Ember``, or ``Ember on Tarn`` for an overprint."""
    return " on ".join(palette.names.get(key, key) for key in reversed(inks)) or "Stock"


def _aims(palette: Palette, approved: Sequence[PatchReading]) -> Aims:
    aims: dict[tuple[str, ...], LabColour] = {(ink.key,): ink.lab for ink in palette.inks}
    for key, sheets in _group(one for one in approved if one.tint == 1.0 and one.inks).items():
        aims[key] = lab_colour(np.mean([_mean(found)[0] for found in sheets.values()], axis=0))
    return aims


def _group(readings: Iterable[PatchReading]) -> Group:
    group: Group = {}
    for one in readings:
        group.setdefault(one.inks, {}).setdefault(one.sheet, []).append(one)
    return group


def _mean(readings: Sequence[PatchReading]) -> tuple[Floats, Floats]:
    """Mean colour of one sheet's places, and its covariance; what they share is not divided."""
    lab = np.mean([one.lab for one in readings], axis=0)
    return lab, np.mean([one.cov for one in readings], axis=0)


def _tolerance(inks: Sequence[str], palette: Palette) -> float:
    return max(palette.ink(key).tolerance_de00 for key in inks)


def _check_ink(
    key: tuple[str, ...],
    sheets: Mapping[str, Sequence[PatchReading]],
    aim: LabColour,
    palette: Palette,
) -> InkCheck:
    means = [_mean(found) for found in sheets.values()]
    labs = np.array([lab for lab, _ in means])
    mean, cov = labs.mean(axis=0), np.mean([cov for _, cov in means], axis=0)
    apart = ciede2000(np.asarray(aim), labs)
    tolerance = _tolerance(key, palette)
    judged = judge([aim], [mean], [cov], tolerance, a_known=True)
    worst = int(np.argmax(apart))
    return InkCheck(
        inks=key,
        readings=sum(len(found) for found in sheets.values()),
        sheets=len(sheets),
        aim=aim,
        mean=lab_colour(mean),
        off_aim=float(judged.de00[0]),
        mean_de00=float(apart.mean()),
        p95_de00=float(np.quantile(apart, 0.95)),
        worst_de00=float(apart[worst]),
        worst_sheet=list(sheets)[worst],
        spread=float(np.sqrt(np.mean(ciede2000(mean, labs) ** 2))),
        tolerance=tolerance,
        verdict=judged.verdict(0),
        reason=words.say_difference("aim", name_inks(key, palette), np.asarray(aim), mean),
    )


def _check_sheet(
    sheet: str, group: Group, blind: Group, aims: Aims, palette: Palette
) -> SheetCheck:
    found = {key: sheets[sheet] for key, sheets in group.items() if sheet in sheets}
    if not found:
        reason = "nothing on it could be judged"
        return SheetCheck(sheet, 0.0, 0.0, "", None, "", Outcome.AGAIN, (reason,))
    means = [_mean(readings) for readings in found.values()]
    judged = judge(
        [aims[key] for key in found],
        [lab for lab, _ in means],
        [cov for _, cov in means],
        [_tolerance(key, palette) for key in found],
        a_known=True,
    )
    names = [name_inks(key, palette) for key in found]
    reasons, doubts = _say_solids(names, judged)
    doubts += [
        f"{name_inks(key, palette)} was not judged"
        for key, sheets in blind.items()
        if sheet in sheets and key not in found
    ]
    uneven, uneven_ink, uneven_reason = _evenness(found, palette)
    reasons += [uneven_reason] if uneven_reason else []
    worst = int(np.argmax(judged.de00))
    outcome = Outcome.REJECT if reasons else Outcome.AGAIN if doubts else Outcome.ACCEPT
    return SheetCheck(
        sheet,
        float(judged.de00.mean()),
        float(judged.de00[worst]),
        names[worst],
        uneven,
        uneven_ink,
        outcome,
        tuple(reasons or doubts),
    )


def _say_solids(names: Sequence[str], judged: Judgement) -> tuple[list[str], list[str]]:
    """Why solids, by name, are outside their tolerances; and of which it cannot be told."""
    failed, doubtful = [], []
    for index, name in enumerate(names):
        de00, tolerance = judged.de00[index], judged.tolerance[index]
        verdict = judged.verdict(index)
        if verdict is Verdict.FAIL:
            failed.append(f"{name} is {de00:.2f} from its aim, tolerance {tolerance:g}")
        elif verdict is Verdict.RESHOOT:
            doubtful.append(
                f"{name}, {de00:.2f} from its aim, is too near its tolerance {tolerance:g} to tell"
            )
    return failed, doubtful


def _evenness(
    found: Mapping[tuple[str, ...], Sequence[PatchReading]], palette: Palette
) -> tuple[float | None, str, str]:
    """Largest difference between places of one solid, its ink, and a reason to reject or ""."""
    most, ink, reason = None, "", ""
    for key, readings in found.items():
        pairs = list(combinations(readings, 2))
        if not pairs:
            continue
        apart = ciede2000([one.lab for one, _ in pairs], [other.lab for _, other in pairs])
        at = int(np.argmax(apart))
        if most is None or apart[at] > most:
            most, ink = float(apart[at]), name_inks(key, palette)
        one, other = pairs[at]
        limit = EVEN_SHARE * _tolerance(key, palette)
        judged = judge([one.lab], [other.lab], [one.cov + other.cov], limit)
        if judged.verdict(0) is Verdict.FAIL and not reason:
            reason = (
                f"{name_inks(key, palette)} differs by {apart[at]:.2f} across the sheet"
                f"{_places(one, other)}, limit {limit:g}"
            )
    return most, ink, reason


def _places(one: PatchReading, other: PatchReading) -> str:
    return f", {one.place} to {other.place}" if one.place and other.place else ""


def _series(
    ink: str, sheets: Mapping[str, Sequence[PatchReading]], aim: LabColour
) -> Iterable[Series]:
    labs = np.array([_mean(found)[0] for found in sheets.values()])
    for axis, name in enumerate(("L*", "a*", "b*")):
        values = tuple(float(value) for value in labs[:, axis])
        chart = chart_individuals(values) if len(values) >= LEAST_POINTS else None
        yield Series(ink, name, tuple(sheets), values, aim[axis], chart)


def _conclude(
    inks: Sequence[InkCheck],
    sheets: Sequence[SheetCheck],
    tints: Sequence[TintCheck],
    palette: Palette,
    readings: Sequence[PatchReading],
) -> tuple[Outcome, tuple[str, ...]]:
    """The batch's outcome and its reasons, the gravest first."""
    if not inks:
        advice = dict.fromkeys(one.advice for one in readings if one.advice)
        return Outcome.AGAIN, tuple(advice) or ("No solid of the palette was measured",)
    reasons = [
        f"The run's {one.reason}: {one.off_aim:.2f}, tolerance {one.tolerance:g}"
        for one in inks
        if one.verdict is Verdict.FAIL
    ]
    bad = [one for one in sheets if one.outcome is Outcome.REJECT]
    reasons += [f"Sheet {one.sheet}: {'; '.join(one.reasons)}" for one in bad]
    reasons += [
        f"{name_inks((one.ink,), palette)} {one.tint:.0%}: tone {one.mean:.0%} on average, "
        f"wanted {one.wanted:.0%}"
        for one in tints
        if not one.ok
    ]
    if reasons:
        good = sum(one.outcome is Outcome.ACCEPT for one in sheets)
        if good and len(reasons) == len(bad):
            others = "other" if good + len(bad) == len(sheets) else "accepted"
            what = f"{others} sheet" if good == 1 else f"{others} {good} sheets"
            reasons.append(f"The {what} may be kept apart and used")
        return Outcome.REJECT, tuple(reasons)
    doubts = [one for one in sheets if one.outcome is Outcome.AGAIN]
    if doubts:
        return Outcome.AGAIN, tuple(f"Sheet {d.sheet}: {'; '.join(d.reasons)}" for d in doubts)
    count = f"all {len(sheets)} sheets" if len(sheets) > 1 else "the sheet"
    return Outcome.ACCEPT, (f"Every solid of {count} is inside its tolerance",)


def _notes(
    readings: Sequence[PatchReading],
    series: Sequence[Series],
    palette: Palette,
    approved: bool,
) -> tuple[str, ...]:
    notes = [f"Sheet {one.sheet}: {one.advice}" for one in readings if one.advice]
    for line in series:
        if told := _say_signals(line):
            notes.append(f"{name_inks((line.ink,), palette)} is not steady: {told}")
    if any(line.chart is not None and line.chart.provisional for line in series):
        notes.append("Control limits are provisional: fewer than 20 sheets")
    elif series and all(line.chart is None for line in series):
        notes.append(f"No control chart: at least {LEAST_POINTS} sheets are needed")
    missing = [ink.name for ink in palette.inks if not any((ink.key,) == r.inks for r in readings)]
    if missing:
        notes.append(f"Not measured: {', '.join(missing)}")
    if not approved and any(len(one.inks) > 1 for one in readings):
        notes.append("Overprints have no aim: measure the approved sheet and give it as one")
    return tuple(dict.fromkeys(notes))


def _say_signals(line: Series) -> str:
    """Each rule that the series breaks, with the last sheet that breaks it; "" if none."""
    signals = line.chart.signals if line.chart is not None else ()
    last = {signal.rule: line.sheets[signal.index] for signal in signals}
    rules = "; ".join(f"{rule} (sheet {sheet})" for rule, sheet in last.items())
    return f"{line.coordinate} {rules}" if rules else ""
