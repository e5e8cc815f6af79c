"""What every command shares: the screen, data on stdout, and the exit codes."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING, Any

import typer

from livery.errors import visible
from livery.units import format_count

if TYPE_CHECKING:
    from rich.console import Console

    from livery.capture.model import Gate
    from livery.crew import Watch

GOOD, FINDINGS, BAD_INPUT, OWN_FAULT = 0, 1, 2, 3
STOPPED, ENDED = 130, 143  # by Ctrl-C, by SIGTERM; as shells have it

_NARROWEST = 40  # columns that sentences are given at least; workshop choice

JsonFlag = typer.Option(False, "--json", help="Print data on stdout instead of tables.")


def console() -> Console:
    """The screen people read: stdout, no wider than the terminal."""
    return _screen_class()(highlight=False, emoji=False, markup=False)


def talk() -> Console:
    """Where progress and complaints go: stderr."""
    return _screen_class()(stderr=True, highlight=False, emoji=False, markup=False)


@cache
def _screen_class() -> type[Console]:
    """Rich's console, on which a text from anyone's file cannot act as a command."""
    from rich.console import Console

    class Screen(Console):
        def print(self, *objects: Any, **options: Any) -> None:
            super().print(*(visible(o) if isinstance(o, str) else o for o in objects), **options)

    return Screen


def print_json(data: Any) -> None:
    """Data on stdout, keys in the order given, no NaN."""
    json.dump(data, sys.stdout, indent=2, ensure_ascii=False, allow_nan=False)
    sys.stdout.write("\n")


def say_under(out: Console, lead: str, text: str) -> None:
    """Words that go on under themselves, not under what leads them; wide letters take two."""
    from rich.text import Text

    width = max(_NARROWEST, out.width) - len(lead)
    for number, line in enumerate(Text(text).wrap(out, max(width, 1)) or [Text()]):
        out.print((" " * len(lead) if number else lead) + line.plain.rstrip())


def print_gates(out: Console, gates: Iterable[Gate]) -> None:
    """What each gate says of a photograph, a line each, with its advice below.

    Gates of single regions that hold without advice are counted.
    """
    unsaid = 0
    for gate in gates:
        if gate.region and gate.ok and not gate.advice:
            unsaid += 1
            continue
        out.print(f"{'good' if gate.ok else 'RE-SHOOT':>8}  {gate.figures}")
        if gate.advice:
            say_under(out, " " * 10, gate.advice)
    if unsaid:
        out.print(f"    good  {format_count(unsaid, 'more check')} of its regions")


@contextmanager
def watching(quiet: bool = False) -> Iterator[Watch]:
    """A progress display on stderr; yields ``watch(stage, done, total)``."""
    if quiet:
        yield lambda stage, done, total: None
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("{task.description:<24}", markup=False),
        BarColumn(bar_width=24),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=talk()) as progress:
        tasks: dict[str, Any] = {}

        def watch(stage: str, done: int, total: int) -> None:
            if stage not in tasks:
                tasks[stage] = progress.add_task(stage, total=total)
            progress.update(tasks[stage], completed=done, total=total)

        yield watch
