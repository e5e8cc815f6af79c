"""``livery palette``: measured samples become a palette's aims."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.colour_flags import (
    AcceptFlag,
    IlluminantFlag,
    MeasurementFlag,
    ObserverFlag,
    ReflectanceFlag,
)
from livery.cli.screen import JsonFlag, console, print_json
from livery.units import format_count


def palette(
    file: Path = typer.Argument(
        ..., metavar="FILE", help="Measurements: CGATS (ISO 28178) or CxF."
    ),
    out: Path = typer.Option(..., "--out", "-o", help="The palette's TOML file to write."),
    name: str = typer.Option("Measured palette", "--name", help="What to call the palette."),
    illuminant: str | None = IlluminantFlag,
    observer: int | None = ObserverFlag,
    measurement: str | None = MeasurementFlag,
    accept: list[str] = AcceptFlag,
    reflectance: str | None = ReflectanceFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Make a palette of measured samples.

    Spectra included, where the file has them.
    """
    from livery.jobs.colour_files import read_terms, write_palette

    terms = read_terms(illuminant, observer, measurement, accept, reflectance)
    inks, notes = write_palette(file, out, name, terms)
    if as_json:
        print_json({"inks": inks, "notes": list(notes)})
        return
    screen = console()
    screen.print(f"{format_count(inks, 'ink')}: {out}", soft_wrap=True)
    for note in notes:
        screen.print(f"Note: {note}.")
