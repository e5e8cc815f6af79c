"""``livery match``: verdicts of items against aims and one another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.colour_flags import (
    AcceptFlag,
    IlluminantFlag,
    MeasurementFlag,
    ObserverFlag,
    ReflectanceFlag,
)
from livery.cli.screen import FINDINGS, JsonFlag, console, print_json

if TYPE_CHECKING:
    from livery.match.findings import Findings


def match(
    season: Path = typer.Argument(..., help="The season file."),
    captures: list[Path] = typer.Argument(..., help="Captures written by livery measure."),
    reference: Path | None = typer.Option(
        None, "--reference", help="Capture of the signed-off reference."
    ),
    out: Path | None = typer.Option(None, "--out", "-o", help="Folder for the report."),
    spectra: list[Path] = typer.Option(
        [], "--spectra", help="Measured spectra (CGATS, CxF), named like 'bat-ember'."
    ),
    light: list[Path] = typer.Option(
        [], "--light", help="A light's own spectrum: wavelength and power, a pair a line."
    ),
    illuminant: str | None = IlluminantFlag,
    observer: int | None = ObserverFlag,
    measurement: str | None = MeasurementFlag,
    accept: list[str] = AcceptFlag,
    reflectance: str | None = ReflectanceFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Say whether bat, gloves and pads match.

    Against their aims, the signed-off reference and each other.
    """
    from livery.jobs.colour_files import read_terms
    from livery.jobs.matching import MatchInputs, findings_data, match_season

    terms = read_terms(illuminant, observer, measurement, accept, reflectance)
    inputs = MatchInputs(tuple(captures), reference, tuple(spectra), tuple(light), terms)
    findings = match_season(season, inputs, out)
    if as_json:
        print_json(findings_data(findings))
    else:
        _show(findings)
    if any(one.verdict != "pass" for one in findings.comparisons) or not all(
        one.ok for one in findings.lights
    ):
        raise typer.Exit(FINDINGS)


def _show(findings: Findings) -> None:
    from rich.table import Table

    from livery.match.say import say_common, say_light, say_remarks, say_remedy

    table = Table.grid()
    table.add_column(width=10)
    table.add_column(overflow="fold")
    for c in findings.comparisons:
        table.add_row(
            c.verdict.upper(),
            f"{c.ink}: {c.a} to {c.b}: ΔE00 {c.de00:.2f} ± {c.u95:.2f}, "
            f"tolerance {c.tolerance:.2f}",
        )
        if c.reason:
            table.add_row("", c.reason)
    for light in findings.lights:
        table.add_row("light" if light.ok else "LIGHT", say_light(light, {}))
    for remedy in findings.remedies:
        table.add_row("mend", say_remedy(remedy, {}))
    for common in findings.common_aims:
        table.add_row("mend", say_common(common, {}))
    for note in (*say_remarks(findings.remarks, {}), *findings.notes):
        table.add_row("note", note)
    out = console()
    out.print(table)
    counts = {word: sum(c.verdict == word for c in findings.comparisons) for word in _VERDICTS}
    out.print(", ".join(f"{number} {word}" for word, number in counts.items()))


_VERDICTS = ("pass", "fail", "re-shoot")
