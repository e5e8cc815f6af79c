"""``livery match --each`` and ``--records``: an archive of captures, judged one by one."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import BAD_INPUT, FINDINGS, console, talk, watching
from livery.cli.season_flags import records_of
from livery.units import format_count

if TYPE_CHECKING:
    from livery.crew import Crew, Watch
    from livery.jobs.rejudged import Change, Rejudged, Summary
    from livery.match.rulings import Ruling
    from livery.scheme.model import Scheme

_MOST_LINES = 200  # changes and failures told one by one; workshop choice


@dataclass(frozen=True, slots=True)
class Archive:
    """What to judge: capture files and folders, or the records' captures."""

    season: Path
    paths: tuple[Path, ...]
    records: bool
    keep: bool
    bat: str | None
    database: str | None


def judge_archive(
    archive: Archive, single: bool, jobs: int | None, cluster: str, as_json: bool
) -> None:
    """Judge and tell. Exit 1: a stored verdict changed, or a file's is no pass, or it has none.

    Args:
        archive: what to judge.
        single: whether flags were given that only a single match has.
        jobs: processes; one a core unless given.
        cluster: a scheduler's address.
        as_json: one line of JSON a capture, as it is judged.
    """
    _check_flags(archive, single)
    from livery.crew import find_crew
    from livery.jobs.rejudged import Summary
    from livery.scheme import load_season

    scheme = load_season(archive.season)
    summary, told = Summary(), _Lines(as_json, scheme)
    crew = find_crew(jobs or os.cpu_count() or 1, cluster)
    with watching(quiet=as_json) as watch, _judged(archive, scheme, crew, watch) as every:
        for one in every:
            summary.add(one)
            told.tell(one)
    told.end()
    if not as_json:
        _sum_up(summary, archive)
    if summary.troubles:
        raise typer.Exit(BAD_INPUT)
    if summary.changed_captures if archive.records else not summary.all_pass:
        raise typer.Exit(FINDINGS)


@contextmanager
def _judged(
    archive: Archive, scheme: Scheme, crew: Crew, watch: Watch
) -> Iterator[Iterable[Rejudged]]:
    from livery.jobs.rejudging import find_capture_files, judge_files, judge_records

    if not archive.records:
        files = find_capture_files(archive.paths)
        yield judge_files(scheme, files, crew=crew, watch=watch)
        return
    date = datetime.now(UTC).isoformat(timespec="microseconds") if archive.keep else ""
    with records_of(archive.season, archive.database) as store:
        yield judge_records(scheme, store, archive.bat, keep_as_of=date, crew=crew, watch=watch)


def _check_flags(archive: Archive, single: bool) -> None:
    if single:
        message = "not with --each or --records"
        raise typer.BadParameter(message, param_hint="--reference, --spectra, --light, --out")
    if archive.records and archive.paths:
        raise typer.BadParameter("with --records, name no files", param_hint="CAPTURE")
    if not archive.records and not archive.paths:
        raise typer.BadParameter("name at least one, or --records", param_hint="CAPTURE")
    if not archive.records and (archive.keep or archive.bat is not None):
        raise typer.BadParameter("only with --records", param_hint="--keep, --bat")


class _Lines:
    """What is told of single captures: JSON at once; lines for people once the bar is gone."""

    def __init__(self, as_json: bool, scheme: Scheme) -> None:
        self._as_json = as_json
        self._inks, self._items = scheme.palette.names, scheme.item_titles
        self._lines: list[str] = []
        self._troubles: list[str] = []
        self._left = 0

    def tell(self, one: Rejudged) -> None:
        if self._as_json:
            sys.stdout.write(json.dumps(_data(one), ensure_ascii=False, allow_nan=False) + "\n")
            return
        if one.trouble:
            self._troubles.append(one.trouble)
        lines = list(self._say(one))
        room = max(0, _MOST_LINES - len(self._lines))
        self._lines += lines[:room]
        self._left += len(lines[room:])

    def end(self) -> None:
        for line in self._lines:
            console().print(line)
        if self._left:
            console().print(f"and {self._left:,} more; --json tells all.")
        for trouble in self._troubles[:_MOST_LINES]:
            talk().print(f"livery: {trouble}", soft_wrap=True)

    def _say(self, one: Rejudged) -> Iterator[str]:
        """What changed; of a file, which has no earlier verdicts, what is no pass."""
        told = [
            f"  {change.words[0]} to {change.words[1].upper()}  {self._pair(ruling)}: "
            f"{_numbers(change)}"
            for change in one.changes
            if (ruling := change.after or change.before) is not None
        ]
        if not (one.bat or one.date):
            told += [
                f"  {ruling.verdict.upper():<9} {self._pair(ruling)}: ΔE00 {ruling.de00:.2f}, "
                f"tolerance {ruling.tolerance:.2f}"
                for ruling in one.rulings
                if ruling.verdict != "pass"
            ]
        if told:
            yield ", ".join(filter(None, (one.name, one.bat, one.date)))
            yield from told

    def _pair(self, ruling: Ruling) -> str:
        a, b = (self._items.get(item, item) for item in (ruling.a, ruling.b))
        return f"{self._inks.get(ruling.ink, ruling.ink)}: {a} to {b}"


def _numbers(change: Change) -> str:
    old, new = change.before, change.after
    ruling = new or old
    if ruling is None:
        return ""
    limit = f"tolerance {ruling.tolerance:.2f}"
    if old is not None and new is not None and old.tolerance != new.tolerance:
        limit = f"tolerance {old.tolerance:.2f}, now {new.tolerance:.2f}"
    return f"ΔE00 {ruling.de00:.2f}, {limit}"


def _data(one: Rejudged) -> dict[str, object]:
    data: dict[str, object] = {"capture": one.name}
    if one.bat or one.date:
        data |= {"bat": one.bat, "date": one.date}
    if one.trouble:
        return {**data, "trouble": one.trouble}
    data["comparisons"] = [asdict(ruling) for ruling in one.rulings]
    if one.bat or one.date:
        data["changes"] = [asdict(change) for change in one.changes]
    return data


def _sum_up(summary: Summary, archive: Archive) -> None:
    from livery.match import Verdict
    from livery.match.say import NO_INK_SEEN

    out = console()
    total = sum(summary.verdicts.values())
    counts = ", ".join(f"{summary.verdicts[word]:,} {word}" for word in Verdict)
    captures = format_count(summary.captures, "capture")
    verdicts = format_count(total, "verdict")
    out.print(f"{captures}, {verdicts}: {counts}.")
    if summary.silent:
        silent = format_count(summary.silent, "capture")
        out.print(f"Of {silent} nothing was judged: {NO_INK_SEEN}.")
    if summary.troubles:
        out.print(f"{format_count(summary.troubles, 'capture')} could not be judged.")
    if not archive.records:
        return
    changed = sum(summary.changes.values())
    if not changed:
        out.print("No verdict changed.")
        return
    ways = ", ".join(f"{n:,} {a} to {b}" for (a, b), n in sorted(summary.changes.items()))
    verdicts = format_count(changed, "verdict")
    captures = format_count(summary.changed_captures, "capture")
    out.print(f"{verdicts} changed, in {captures}: {ways}.")
    if archive.keep:
        out.print("Today's verdicts on those captures are entered beside the earlier ones.")
    else:
        out.print("The records keep the verdicts as they were; --keep enters today's beside them.")
