"""``livery proof``: what a player is asked to agree to."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching
from livery.cli.season_flags import DatabaseOption, SeasonArgument, tell_unread


def proof(
    season: Path = SeasonArgument,
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the proofs."),
    order: list[str] = typer.Option(
        [], "--order", metavar="KEY", help="Order key; repeat for more. All if none."
    ),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Make the proof of each order, to sign.

    One PDF for one player; what changed since the revision last offered is listed and drawn.
    """
    from livery.jobs.player_papers import build_proofs
    from livery.jobs.revisions import earlier_proofs
    from livery.jobs.season_records import read_history
    from livery.jobs.survey import survey

    history = read_history(season, database)
    with watching(quiet=as_json) as watch:
        found = survey(season, watch)
        earlier = {} if history.trouble else earlier_proofs(found, database)
        files = build_proofs(found, out, tuple(order), watch, earlier)
    tell_unread(history.trouble)
    if as_json:
        print_json({"folder": str(out), "files": [str(name) for name in files]})
    else:
        for name in files:
            console().print(str(out / name), soft_wrap=True)
    if found.broken:
        raise typer.Exit(FINDINGS)
