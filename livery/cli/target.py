"""``livery target``: a printable target and its target.toml."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.screen import JsonFlag, console, print_json


def target(
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the target."),
    season: Path | None = typer.Option(
        None, "--season", help="Cluster the patches round this season's inks."
    ),
    form: str = typer.Option("chart", "--form", help="chart, card or rails."),
    as_json: bool = JsonFlag,
) -> None:
    """Make a target to print and photograph beside the kit."""
    from livery.jobs.photographs import make_target_files

    files = make_target_files(out, form, season)
    if as_json:
        print_json({"folder": str(out), "files": [str(name) for name in files]})
        return
    out_to = console()
    out_to.print(f"Print {out / 'target.pdf'} at 100 %; check the 100 mm rule.", soft_wrap=True)
    out_to.print("Its colours are nominal until measured: have the print shop measure each")
    out_to.print("patch, and enter what it read by livery target-values.")
