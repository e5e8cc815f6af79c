"""``livery build``: everything the printer, the bench and the signer need."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching


def build(
    season: Path = typer.Argument(..., help="The season file."),
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the results."),
    jobs: int = typer.Option(1, "--jobs", min=1, max=256, help="Processes to work with."),
    as_json: bool = JsonFlag,
) -> None:
    """Make all sheets (PDF and SVG), bench cards and proofs, and a page to open."""
    from livery.jobs.building import build_season
    from livery.jobs.survey import survey

    with watching(quiet=as_json) as watch:
        found = survey(season, watch)
        files = build_season(found, out, jobs=jobs, watch=watch)
    if as_json:
        names = [str(name) for name in files]
        print_json({"folder": str(out), "files": names, "limits_broken": len(found.broken)})
    else:
        console().print(f"{len(files)} files. Open {out / 'index.html'}", soft_wrap=True)
        if found.broken:
            console().print(f"{len(found.broken)} limits are broken: run livery check.")
    if found.broken:
        raise typer.Exit(FINDINGS)
