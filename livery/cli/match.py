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
    from livery.match.say import say_common, say_light, say_remarks, say_remedy

    out = console()
    for c in findings.comparisons:
        out.print(
            f"{c.verdict.upper():<9} {c.ink}: {c.a} to {c.b}: ΔE00 {c.de00:.2f} ± {c.u95:.2f}, "
            f"tolerance {c.tolerance:.2f}"
        )
        if c.reason:
            out.print(f"          {c.reason}")
    for light in findings.lights:
        out.print(f"{'light' if light.ok else 'LIGHT':<9} {say_light(light, {})}")
    for remedy in findings.remedies:
        out.print(f"mend      {say_remedy(remedy, {})}")
    for common in findings.common_aims:
        out.print(f"mend      {say_common(common, {})}")
    for remark in say_remarks(findings.remarks, {}):
        out.print(f"note      {remark}")
    for note in findings.notes:
        out.print(f"note      {note}")
    counts = {word: sum(c.verdict == word for c in findings.comparisons) for word in _VERDICTS}
    out.print(", ".join(f"{number} {word}" for word, number in counts.items()))


_VERDICTS = ("pass", "fail", "re-shoot")
