"""``livery demo``: the whole job on an invented season."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.crew_flags import ClusterFlag, jobs_flag
from livery.cli.screen import JsonFlag, console, print_json, say_under, watching


def demo(
    out: Path = typer.Option(
        Path("livery-demo"), "--out", "-o", help="Folder for the results; made if absent."
    ),
    jobs: int = jobs_flag(2),
    cluster: str = ClusterFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Run the whole job on an invented season.

    Builds the demo season, measures its simulated photographs, writes everything.
    """
    from livery.crew import find_crew

    crew = find_crew(jobs, cluster)
    from livery.jobs.demonstration import run_demo

    with watching(quiet=as_json) as watch:
        result = run_demo(out, crew, watch)
    if as_json:
        print_json(result.as_data())
        return
    show = console()
    show.print("The season, its people and its photographs are invented; the sums are real.")
    for line in result.summary:
        say_under(show, "", line)
    show.print(f"Open {out / 'index.html'}", soft_wrap=True)
