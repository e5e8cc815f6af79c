"""``livery target-values``: what an instrument read on a printed target, into its target.toml."""

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


def target_values(
    target: str = typer.Argument(..., metavar="TARGET", help="The target.toml."),
    file: Path = typer.Argument(
        ..., metavar="FILE", help="Measurements: CGATS (ISO 28178) or CxF."
    ),
    out: Path = typer.Option(..., "--out", "-o", help="The target.toml to write."),
    illuminant: str | None = IlluminantFlag,
    observer: int | None = ObserverFlag,
    measurement: str | None = MeasurementFlag,
    accept: list[str] = AcceptFlag,
    reflectance: str | None = ReflectanceFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Enter a printed target's measured values.

    Gives its patches the values that an instrument read.
    """
    from livery.jobs.colour_files import fill_target, read_terms

    terms = read_terms(illuminant, observer, measurement, accept, reflectance)
    measured, patches, notes = fill_target(target, file, out, terms)
    if as_json:
        print_json({"measured": measured, "patches": patches, "notes": list(notes)})
        return
    screen = console()
    screen.print(f"{measured} of {patches} patches are measured: {out}", soft_wrap=True)
    for note in notes:
        screen.print(f"Note: {note}.")
