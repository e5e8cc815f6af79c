"""``livery check``: validate, lay out, report findings."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, say_under, watching
from livery.cli.season_flags import SeasonArgument
from livery.units import format_count

if TYPE_CHECKING:
    from livery.jobs.survey import Survey
    from livery.limits.model import Finding

    Group = tuple[Finding, ...]

_HANDED = re.compile(r"\b(?:right|left)-handed\b")


def check(
    season: Path = SeasonArgument,
    everything: bool = typer.Option(False, "--all", help="List the limits that hold, too."),
    as_json: bool = JsonFlag,
) -> None:
    """Hold a season against every limit.

    Validates it, lays it out on every size and hand, and reports.
    """
    from livery.jobs.survey import survey_for_print

    with watching(quiet=as_json) as watch:
        found = survey_for_print(season, watch)
    if as_json:
        touched = found.orders_by_finding
        rows = [_as_data(finding, touched.get(finding, ())) for finding in found.findings]
        print_json({"findings": rows})
    else:
        _show(found, everything)
    if found.broken:
        raise typer.Exit(FINDINGS)


def _as_data(finding: Finding, orders: Sequence[str]) -> dict[str, object]:
    from dataclasses import asdict

    return {**asdict(finding), "severity": str(finding.severity), "orders": list(orders)}


def _show(found: Survey, everything: bool) -> None:
    from livery.limits import UMPIRES_DECIDE

    out = console()
    scheme = found.scheme
    say = partial(say_under, out)
    season = f"season {scheme.name}, revision {scheme.revision}"
    say("", f"{scheme.workshop}, {season}" if scheme.workshop else f"S{season[1:]}")
    touched = found.orders_by_finding
    for subject, findings, others in _alike_for_both_hands(found.findings, everything):
        out.print()
        say("", subject)
        orders = dict.fromkeys(key for one in (*findings, *others) for key in touched.get(one, ()))
        if orders:
            say("  ", f"orders: {', '.join(orders)}")
        for finding in findings:
            say(f"  {_word(finding):<8}", finding.text)
            if finding.severity != "note":
                say(" " * 10, f"source: {finding.source}")
    out.print()
    say("", _summary(found))
    say("", UMPIRES_DECIDE)


def _alike_for_both_hands(
    findings: Sequence[Finding], everything: bool
) -> list[tuple[str, Group, Group]]:
    """What is to be shown of each subject, once where it is the same for either hand.

    Returns:
        (subject, what is shown, the same of the other hand) in the order of their gravity.
    """
    merged: dict[tuple[str, tuple[str, ...]], list[Group]] = {}
    subjects: dict[tuple[str, tuple[str, ...]], str] = {}
    for subject, group in _by_subject(findings, everything):
        either = _HANDED.sub("for either hand", subject)
        key = (either, tuple(finding.text for finding in group))
        subjects[key] = either if key in merged else subject
        merged.setdefault(key, []).append(group)
    return [
        (subjects[key], shown, tuple(finding for group in others for finding in group))
        for key, (shown, *others) in merged.items()
    ]


def _by_subject(
    findings: Sequence[Finding], everything: bool
) -> list[tuple[str, tuple[Finding, ...]]]:
    """What is to be shown of each subject, the gravest finding first, in both."""
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        if everything or not finding.ok:
            groups.setdefault(finding.subject, []).append(finding)
    ordered = {subject: sorted(group, key=_gravity) for subject, group in groups.items()}
    subjects = sorted(ordered, key=lambda subject: _gravity(ordered[subject][0]))
    return [(subject, tuple(ordered[subject])) for subject in subjects]


def _gravity(finding: Finding) -> int:
    return 3 if finding.ok else ("limit", "advice", "note").index(finding.severity)


def _word(finding: Finding) -> str:
    if finding.ok:
        return "holds"
    return {"limit": "BROKEN", "advice": "advice"}.get(finding.severity, "note")


def _summary(found: Survey) -> str:
    if not found.layouts:
        return "Nothing is laid out: the season has no bats, gloves or pads."
    count = Counter(_word(finding) for finding in found.findings)
    checks = format_count(len(found.findings), "check")
    layouts = format_count(len(found.layouts), "layout")
    return (
        f"{checks} over {layouts}: {count['holds']:,} hold, "
        f"{format_count(count['BROKEN'], 'limit')} broken, "
        f"{format_count(count['advice'], 'piece')} of advice, "
        f"{format_count(count['note'], 'note')} on what would help."
    )
