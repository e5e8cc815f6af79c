"""``livery match``: verdicts of items against aims and one another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.archive import Archive, judge_archive
from livery.cli.colour_flags import (
    AcceptFlag,
    IlluminantFlag,
    MeasurementFlag,
    ObserverFlag,
    ReflectanceFlag,
)
from livery.cli.crew_flags import ClusterFlag
from livery.cli.screen import FINDINGS, JsonFlag, console, print_json
from livery.cli.season_flags import DatabaseOption, SeasonArgument

if TYPE_CHECKING:
    from collections.abc import Mapping

    from livery.match.findings import Findings


_CAPTURES = typer.Argument(
    None, metavar="CAPTURE", help="Captures written by livery measure, or folders of them."
)
_REFERENCE = typer.Option(None, "--reference", help="Capture of the signed-off reference.")
_OUT = typer.Option(None, "--out", "-o", help="Folder for the report.")
_SPECTRA = typer.Option(
    [], "--spectra", metavar="FILE", help="Measured spectra (CGATS, CxF), named like 'bat-ember'."
)
_LIGHT = typer.Option(
    [],
    "--light",
    metavar="FILE",
    help="A light's own spectrum: wavelength and power, a pair a line.",
)
_EACH = typer.Option(
    False, "--each", help="Judge each capture by itself, not all as evidence of one kit."
)
_RECORDS = typer.Option(
    False, "--records", help="Judge all captures of the records again; say what changed."
)
_KEEP = typer.Option(
    False, "--keep", help="With --records: enter what changed beside the earlier verdicts."
)
_BAT = typer.Option(None, "--bat", help="With --records: of this bat alone.")
_JOBS = typer.Option(
    None, "--jobs", min=1, max=256, help="With --each, --records: processes; one a core."
)


def match(
    season: Path = SeasonArgument,
    captures: list[Path] | None = _CAPTURES,
    reference: Path | None = _REFERENCE,
    out: Path | None = _OUT,
    spectra: list[Path] = _SPECTRA,
    light: list[Path] = _LIGHT,
    illuminant: str | None = IlluminantFlag,
    observer: int | None = ObserverFlag,
    measurement: str | None = MeasurementFlag,
    accept: list[str] = AcceptFlag,
    reflectance: str | None = ReflectanceFlag,
    each: bool = _EACH,
    records: bool = _RECORDS,
    keep: bool = _KEEP,
    bat: str | None = _BAT,
    database: str | None = DatabaseOption,
    jobs: int | None = _JOBS,
    cluster: str = ClusterFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Say whether bat, gloves and pads match.

    Against their aims, the signed-off reference and each other.
    """
    if records or each:
        single = bool(reference or out or spectra or light)
        archive = Archive(season, tuple(captures or ()), records, keep, bat, database)
        judge_archive(archive, single, jobs, cluster, as_json)
        return
    if keep or bat is not None:
        raise typer.BadParameter("only of the records", param_hint="--keep, --bat")
    from livery.jobs.colour_files import read_terms
    from livery.jobs.matching import MatchInputs, findings_data, match_season
    from livery.jobs.rejudging import find_capture_files
    from livery.scheme import load_season

    terms = read_terms(illuminant, observer, measurement, accept, reflectance)
    files = find_capture_files(captures or [])
    if not files:
        raise typer.BadParameter("name at least one, or --records", param_hint="CAPTURE")
    inputs = MatchInputs(files, reference, tuple(spectra), tuple(light), terms)
    scheme = load_season(season)
    findings = match_season(scheme, inputs, out)
    if as_json:
        print_json(findings_data(findings))
    else:
        _show(findings.named(scheme.item_titles), scheme.palette.names)
    if not findings.all_match:
        raise typer.Exit(FINDINGS)


def _show(findings: Findings, inks: Mapping[str, str]) -> None:
    from rich.table import Table

    from livery.match import tally_verdicts
    from livery.match.say import NO_INK_SEEN, say_common, say_light, say_remarks, say_remedy

    table = Table.grid()
    table.add_column(width=10)
    table.add_column(overflow="fold")
    for c in findings.comparisons:
        table.add_row(
            c.verdict.upper(),
            f"{inks.get(c.ink, c.ink)}: {c.a} to {c.b}: ΔE00 {c.de00:.2f} ± {c.u95:.2f}, "
            f"tolerance {c.tolerance:.2f}",
        )
        if c.reason:
            table.add_row("", c.reason)
    for light in findings.lights:
        table.add_row("light" if light.ok else "LIGHT", say_light(light, inks))
    for remedy in findings.remedies:
        table.add_row("mend", say_remedy(remedy, inks))
    for common in findings.common_aims:
        table.add_row("mend", say_common(common, inks))
    for note in (*say_remarks(findings.remarks, inks), *findings.notes):
        table.add_row("note", note)
    out = console()
    out.print(table)
    counts = tally_verdicts(findings.comparisons)
    out.print(", ".join(f"{number} {word}" for word, number in counts.items()))
    unjudged = [one for one in findings.remarks if one.unjudged]
    unknown = [one.ink for one in unjudged if one.ink]
    unread = [one.item for one in unjudged if not one.ink]
    if unknown:
        out.print(f"Not judged, as the palette has no such ink: {', '.join(unknown)}.")
    if unread:
        out.print(f"Not judged, as the photograph does not show it well: {', '.join(unread)}.")
    if not (unjudged or findings.comparisons or findings.lights):
        out.print(f"Nothing was judged: {NO_INK_SEEN}.")
