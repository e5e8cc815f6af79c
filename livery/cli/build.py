"""``livery build``: everything the printer, the bench and the signer need."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.crew_flags import ClusterFlag, jobs_flag
from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching
from livery.cli.season_flags import DatabaseOption, SeasonArgument, tell_unread
from livery.units import format_count


def build(
    season: Path = SeasonArgument,
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the results."),
    jobs: int = jobs_flag(1),
    cluster: str = ClusterFlag,
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
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Make sheets, cards, proofs and a page to open.

    Sheets come as PDF and SVG; proofs list and draw what changed since the revision last offered.
    In a folder that holds an earlier build only what has changed is made anew.
    """
    from livery.crew import find_crew
    from livery.jobs.rebuilding import BuildOptions, build_season

    crew = find_crew(jobs, cluster)
    options = BuildOptions(address, kits_together, effort, search)
    with watching(quiet=as_json) as watch:
        built = build_season(season, out, options, crew, watch, database)
    tell_unread(built.trouble)
    if as_json:
        names = [str(name) for name in built.files]
        print_json({"folder": str(out), "files": names, "limits_broken": built.limits_broken})
    else:
        state = ", all as they were" if built.unchanged else ""
        files = f"{format_count(len(built.files), 'file')}{state}"
        console().print(f"{files}. Open {out / 'index.html'}", soft_wrap=True)
        if not any(file.parts[0] == "sheets" for file in built.files):
            words = "No sheets: the season has no orders with decals. Add [[orders]] to print."
            console().print(words, markup=False)
        if built.limits_broken:
            broken = format_count(built.limits_broken, "limit")
            console().print(f"{broken} broken: run livery check.")
    if built.limits_broken:
        raise typer.Exit(FINDINGS)
