"""``livery print-check``: a batch of sheets back from the printer, accepted or not."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.colour_flags import (
    AcceptFlag,
    IlluminantFlag,
    MeasurementFlag,
    ObserverFlag,
    ReflectanceFlag,
)
from livery.cli.screen import FINDINGS, JsonFlag, console, print_json
from livery.cli.season_flags import SeasonArgument

if TYPE_CHECKING:
    from rich.table import Table

    from livery.match.print_model import PrintCheck
    from livery.scheme.model import Palette


def print_check(
    season: Path = SeasonArgument,
    files: list[Path] = typer.Argument(
        ...,
        metavar="FILE",
        help="One file a sheet, in the batch's order: CGATS, CxF or a capture's JSON.",
    ),
    approved: Path | None = typer.Option(
        None, "--approved", help="Measurements of the approved sheet, to be the aim."
    ),
    out: Path | None = typer.Option(None, "--out", "-o", help="Folder for charts and data."),
    illuminant: str | None = IlluminantFlag,
    observer: int | None = ObserverFlag,
    measurement: str | None = MeasurementFlag,
    accept: list[str] = AcceptFlag,
    reflectance: str | None = ReflectanceFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Check printed sheets against their aims.

    Solids, tints, evenness and drift. Exit 1 unless accepted.
    """
    from livery.jobs.colour_files import read_terms
    from livery.jobs.print_checks import check_batch, print_data

    terms = read_terms(illuminant, observer, measurement, accept, reflectance)
    check, palette, notes = check_batch(season, files, approved, terms, out)
    if as_json:
        print_json(print_data(check, palette, notes))
    else:
        _show(check, palette, notes)
    if check.outcome != "accept":
        raise typer.Exit(FINDINGS)


def _show(check: PrintCheck, palette: Palette, notes: tuple[str, ...]) -> None:
    from livery.match.print_check import SOURCES

    screen = console()
    screen.print(check.outcome.upper())
    for reason in check.reasons:
        screen.print(f"  {reason}.")
    if check.inks:
        screen.print(_inks(check, palette))
        screen.print(_sheets(check))
    if check.tints:
        screen.print(_tints(check, palette))
    for note in (*check.notes, *notes):
        screen.print(f"Note: {note}.")
    for source in SOURCES:
        screen.print(f"{source}.")


def _table(*names: str) -> Table:
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE, pad_edge=False)
    for number, name in enumerate(names):
        table.add_column(name, justify="left" if number == 0 else "right", overflow="fold")
    return table


def _inks(check: PrintCheck, palette: Palette) -> Table:
    from livery.match.print_check import name_inks

    table = _table("ΔE00 from the aim", "mean", "95 %", "worst", "sheet", "spread", "limit", "run")
    for one in check.inks:
        numbers = (one.mean_de00, one.p95_de00, one.worst_de00)
        table.add_row(
            name_inks(one.inks, palette),
            *(f"{value:.2f}" for value in numbers),
            one.worst_sheet,
            f"{one.spread:.2f}",
            f"{one.tolerance:g}",
            str(one.verdict),
        )
    return table


def _sheets(check: PrintCheck) -> Table:
    table = _table("sheet", "mean", "worst", "of", "uneven", "outcome")
    for one in check.sheets:
        uneven = "" if one.uneven_de00 is None else f"{one.uneven_de00:.2f}"
        mean, worst = f"{one.mean_de00:.2f}", f"{one.worst_de00:.2f}"
        table.add_row(one.sheet, mean, worst, one.worst_ink, uneven, str(one.outcome))
    return table


def _tints(check: PrintCheck, palette: Palette) -> Table:
    from livery.match.print_check import name_inks

    table = _table("tone of tints", "wanted", "mean", "worst", "sheet", "")
    for one in check.tints:
        shares = (f"{value:.0%}" for value in (one.wanted, one.mean, one.worst))
        state = "good" if one.ok else "OFF"
        name = f"{name_inks((one.ink,), palette)} {one.tint:.0%}"
        table.add_row(name, *shares, one.worst_sheet, state)
    return table
