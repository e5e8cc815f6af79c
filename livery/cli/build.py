"""``livery build``: everything the printer, the bench and the signer need."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching


def build(
    season: Path = typer.Argument(..., help="The season file."),
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the results."),
    jobs: int = typer.Option(1, "--jobs", min=1, max=256, help="Processes to work with."),
    address: str = typer.Option(
        "", "--address", help="Where livery serve is reached: puts a code on each bench card."
    ),
    kits_together: bool = typer.Option(
        False, "--kits-together", help="Keep all decals of one bat or pair side by side."
    ),
    effort: int = typer.Option(
        1, "--effort", min=1, max=1000, help="Times the usual work for denser sheets."
    ),
    search: int = typer.Option(
        0,
        "--search",
        min=0,
        max=3600,
        metavar="SECONDS",
        help="Search for denser sheets, for so long each attempt; placements are kept and reused.",
    ),
    as_json: bool = JsonFlag,
) -> None:
    """Make sheets, cards, proofs and a page to open.

    Sheets come as PDF and SVG.
    """
    from livery.jobs.building import build_season
    from livery.jobs.survey import survey
    from livery.sheet.model import Nesting

    nesting = Nesting(kits_together=kits_together, search_seconds=search, effort=effort)
    with watching(quiet=as_json) as watch:
        found = survey(season, watch)
        files = build_season(found, out, jobs=jobs, watch=watch, address=address, nesting=nesting)
    if as_json:
        names = [str(name) for name in files]
        print_json({"folder": str(out), "files": names, "limits_broken": len(found.broken)})
    else:
        console().print(f"{len(files)} files. Open {out / 'index.html'}", soft_wrap=True)
        if found.broken:
            console().print(f"{len(found.broken)} limits are broken: run livery check.")
    if found.broken:
        raise typer.Exit(FINDINGS)
