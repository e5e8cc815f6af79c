"""``livery serve``: the pages for the bench, the designer and the one who signs."""

from __future__ import annotations

from pathlib import Path

import typer

from livery.cli.screen import talk
from livery.cli.season_flags import DatabaseOption, SeasonArgument


def serve(
    season: Path = SeasonArgument,
    host: str = typer.Option("127.0.0.1", "--host", help="Address to listen at."),
    port: int = typer.Option(8737, "--port", min=1, max=65535, help="Port to listen at."),
    target: list[Path] = typer.Option(
        [], "--target", metavar="FILE", help="A target.toml the bench uses; repeat for more."
    ),
    address: str | None = typer.Option(
        None, "--address", help="How others reach these pages, if not by host and port."
    ),
    database: str | None = DatabaseOption,
) -> None:
    """Serve the season's pages. Beyond this machine only once people have accounts."""
    from livery.web import Post, listen

    post = Post(season, host, port, tuple(target), address, database, apart=True)
    talk().print(f"Open {post.address}  (stop with Ctrl-C)", soft_wrap=True)
    listen(post)
