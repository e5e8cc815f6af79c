"""``livery rules``: every rule in force, with its source and the reading taken."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from livery.cli.screen import JsonFlag, console, print_json
from livery.cli.season_flags import SeasonArgument

if TYPE_CHECKING:
    from livery.views import RuleInForce


def rules(
    season: Path = SeasonArgument,
    as_json: bool = JsonFlag,
) -> None:
    """List the rules in force, with their sources.

    Figures, source, standing, and the reading taken.
    """
    from livery.jobs.survey import list_rules

    found = list_rules(season)
    if as_json:
        print_json({"rules": [_as_data(rule) for rule in found]})
    else:
        _show(found)


def _as_data(rule: RuleInForce) -> dict[str, str]:
    from dataclasses import asdict

    return asdict(rule)


def _show(found: tuple[RuleInForce, ...]) -> None:
    from rich.rule import Rule
    from rich.table import Table

    from livery.limits import UMPIRES_DECIDE

    out = console()
    book = ""
    for rule in found:
        if rule.book != book:
            book = rule.book
            out.print(Rule(book, align="left", characters="─"))
        table = Table.grid(padding=(0, 1))
        table.add_column(min_width=7)
        table.add_column(ratio=1)
        table.add_row(rule.severity, rule.title, style="bold")
        for name, words in _rows(rule):
            table.add_row(name, words)
        out.print(table)
        out.print()
    out.print(f"{len(found)} rules. Where several limit one thing, the strictest is held.")
    out.print(UMPIRES_DECIDE)


def _rows(rule: RuleInForce) -> list[tuple[str, str]]:
    clause = f", {rule.clause}" if rule.clause else ""
    rows = [
        ("rule", rule.rule),
        ("asks", rule.asks),
        ("where", rule.where),
        ("source", f"{rule.source}{clause} ({rule.standing})"),
        ("reading", rule.reading),
    ]
    return [(name, words) for name, words in rows if words]
