"""``livery match``: verdicts of items against aims and one another."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json

if TYPE_CHECKING:
    from livery.match.model import Comparison


def match(
    season: Path = typer.Argument(..., help="The season file."),
    captures: list[Path] = typer.Argument(..., help="Captures written by livery measure."),
    reference: Path | None = typer.Option(
        None, "--reference", help="Capture of the signed-off reference."
    ),
    out: Path | None = typer.Option(None, "--out", "-o", help="Folder for the report."),
    as_json: bool = JsonFlag,
) -> None:
    """Say whether bat, gloves and pads match their aims and each other."""
    from livery.jobs.photographs import match_captures

    comparisons = match_captures(season, captures, reference, out)
    if as_json:
        print_json({"comparisons": [_as_data(c) for c in comparisons]})
    else:
        _show(comparisons)
    if any(c.verdict != "pass" for c in comparisons):
        raise typer.Exit(FINDINGS)


def _as_data(comparison: Comparison) -> dict[str, object]:
    from dataclasses import asdict

    return {**asdict(comparison), "verdict": str(comparison.verdict)}


def _show(comparisons: tuple[Comparison, ...]) -> None:
    out = console()
    for c in comparisons:
        out.print(
            f"{c.verdict.upper():<9} {c.ink}: {c.a} to {c.b}: ΔE00 {c.de00:.2f} ± {c.u95:.2f}, "
            f"tolerance {c.tolerance:.2f}"
        )
        if c.reason:
            out.print(f"          {c.reason}")
    counts = {word: sum(c.verdict == word for c in comparisons) for word in _VERDICTS}
    out.print(", ".join(f"{number} {word}" for word, number in counts.items()))


_VERDICTS = ("pass", "fail", "re-shoot")
