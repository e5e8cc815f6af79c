"""Arguments of every command about a season, and its records opened."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from livery.cli.screen import talk

if TYPE_CHECKING:
    from livery.records.store import Store

SeasonArgument = typer.Argument(..., metavar="SEASON", help="The season file.")
DatabaseOption = typer.Option(
    None, "--database", help="PostgreSQL URL, instead of SQLite in the season's folder."
)


@contextmanager
def records_of(season: Path, database: str | None, *, make: bool = False) -> Iterator[Store]:
    """A season's records, closed at the end."""
    from livery.jobs.season_records import open_records

    store = open_records(season, database, make=make)
    try:
        yield store
    finally:
        store.close()


def tell_unread(trouble: str) -> None:
    """Say once that proofs list no changes, and why."""
    if trouble:
        talk().print(f"Changes since what was offered are not listed: {trouble}", soft_wrap=True)
