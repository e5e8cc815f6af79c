"""The commands, and the one place where an error becomes an exit code."""

from __future__ import annotations

import os
import signal
import sys
import traceback
from pathlib import Path

import typer

from livery.cli import (
    aims,
    build,
    check,
    demo,
    match,
    measure,
    palette,
    position,
    print_check,
    proof,
    records,
    rules,
    serve,
    sign,
    target,
    target_values,
)
from livery.cli.screen import BAD_INPUT, ENDED, OWN_FAULT, STOPPED, talk
from livery.errors import LiveryError

app = typer.Typer(
    name="livery",
    help="Lay out, print, check and sign off the look of a season's cricket kit.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
for _module in (
    demo,
    check,
    rules,
    build,
    target,
    target_values,
    measure,
    position,
    match,
    print_check,
    proof,
    aims,
    palette,
    serve,
):
    app.command()(getattr(_module, _module.__name__.rsplit(".", 1)[-1]))
app.add_typer(sign.app, name="sign")
app.add_typer(records.app, name="records")


def main() -> None:
    """Run the command line and exit: 0 good, 1 findings, 2 bad input, 3 our own fault."""
    signal.signal(signal.SIGTERM, _end)
    try:
        app()
    except LiveryError as error:
        talk().print(f"livery: {error}", soft_wrap=True)
        sys.exit(BAD_INPUT)
    except KeyboardInterrupt:
        _say_stopped()
        sys.exit(STOPPED)
    except SystemExit as end:
        if end.code in (STOPPED, ENDED):  # typer has met the Ctrl-C first
            _say_stopped()
        raise
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(BAD_INPUT)
    except Exception as error:
        if os.environ.get("LIVERY_TRACEBACK"):
            raise
        _admit(error)
        sys.exit(OWN_FAULT)


def _end(_number: int, _frame: object) -> None:
    """End as Ctrl-C does: what is open is closed, what is half made is cleared away."""
    sys.exit(ENDED)


def _say_stopped() -> None:
    talk().print("livery: stopped; earlier outputs are untouched.")


def _admit(error: Exception) -> None:
    """Say that livery itself is at fault, and what its makers need to know."""
    place = traceback.extract_tb(error.__traceback__)[-1]
    where = f"{Path(place.filename).name}:{place.lineno}"
    talk().print(
        f"livery: a fault of livery's own, at {where}: {type(error).__name__}: {error}. Earlier "
        "outputs are untouched. Run again with LIVERY_TRACEBACK=1 and send us what it prints.",
        soft_wrap=True,
    )
