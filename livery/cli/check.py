"""``livery check``: validate, lay out, report findings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching

if TYPE_CHECKING:
    from livery.jobs.survey import Survey
    from livery.limits.model import Finding


def check(
    season: Path = typer.Argument(..., help="The season file."),
    everything: bool = typer.Option(False, "--all", help="List the limits that hold, too."),
    as_json: bool = JsonFlag,
) -> None:
    """Validate a season, lay it out on every size, and report against every limit."""
    from livery.jobs.survey import survey

    with watching(quiet=as_json) as watch:
        found = survey(season, watch)
    if as_json:
        print_json({"findings": [_as_data(finding) for finding in found.findings]})
    else:
        _show(found, everything)
    if found.broken:
        raise typer.Exit(FINDINGS)


def _as_data(finding: Finding) -> dict[str, object]:
    from dataclasses import asdict

    return {**asdict(finding), "severity": str(finding.severity)}


def _show(found: Survey, everything: bool) -> None:
    out = console()
    scheme = found.scheme
    out.print(f"{scheme.workshop}, season {scheme.name}, revision {scheme.revision}")
    shown = found.findings if everything else [f for f in found.findings if not f.ok]
    for finding in sorted(shown, key=lambda f: (f.ok, f.severity != "limit", f.severity)):
        word = "holds" if finding.ok else {"limit": "BROKEN"}.get(finding.severity, "advice")
        out.print(f"\n{word}: {finding.text}")
        out.print(f"  {finding.subject}")
        out.print(f"  source: {finding.source}")
    held = sum(f.ok for f in found.findings)
    out.print(
        f"\n{len(found.findings)} checks over {len(found.layouts)} layouts: {held} hold, "
        f"{len(found.broken)} limits broken, "
        f"{len(found.findings) - held - len(found.broken)} pieces of advice."
    )
    out.print("Umpires and the competition decide; check the current editions.")
