"""Arguments of every command about a season, and where its records are."""

from __future__ import annotations

import typer

SeasonArgument = typer.Argument(..., help="The season file.")
DatabaseOption = typer.Option(
    None, "--database", help="PostgreSQL URL, instead of SQLite in the season's folder."
)
