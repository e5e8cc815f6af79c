"""``livery aims``: a season's aims for an instrument."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.screen import JsonFlag, console, print_json
from livery.cli.season_flags import SeasonArgument
from livery.units import format_count


def aims(
    season: Path = SeasonArgument,
    out: Path = typer.Option(..., "--out", "-o", help="A .txt (CGATS) or .cxf file to write."),
    as_json: bool = JsonFlag,
) -> None:
    """Write the season's aims for an instrument.

    As CGATS (ISO 28178) text or CxF.
    """
    from livery.jobs.colour_files import write_aims

    count = write_aims(season, out)
    if as_json:
        print_json({"aims": count, "file": str(out)})
    else:
        console().print(f"{format_count(count, 'aim')}: {out}", soft_wrap=True)
