"""Flags of every command whose work can be shared out."""

from __future__ import annotations

from typing import Any

import typer

ClusterFlag = typer.Option(
    "",
    "--cluster",
    metavar="ADDRESS",
    help="A Dask scheduler to share the work out to instead, tcp://HOST:PORT; its workers run "
    "code, so use your own trusted network.",
)


def jobs_flag(usual: int) -> Any:
    """``--jobs``, with what it is unless given."""
    return typer.Option(usual, "--jobs", min=1, max=256, help="Processes to work with.")
