"""``livery records``: what happened, kept, checked, copied and plotted."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import typer

from livery.cli.crew_flags import ClusterFlag, jobs_flag
from livery.cli.screen import FINDINGS, JsonFlag, console, print_json, watching
from livery.cli.season_flags import DatabaseOption, SeasonArgument, records_of
from livery.units import format_count

app = typer.Typer(help="Keep, check, copy and plot what happened.", no_args_is_help=True)


@app.command()
def keep(
    season: Path = SeasonArgument,
    photo: Path = typer.Argument(..., metavar="PHOTO", help="The photograph that was measured."),
    capture: Path = typer.Argument(
        ..., metavar="CAPTURE", help="The capture that livery measure wrote of it."
    ),
    bat: str = typer.Option(..., "--bat", help="The order's key, or what was photographed."),
    bench: str = typer.Option("", "--bench", help="Which bench."),
    batch: str = typer.Option("", "--batch", help="Which print batch."),
    date: str | None = typer.Option(None, "--date", help="When, ISO 8601; now if not given."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Keep a capture with its photograph and verdicts. Exit 1: not all of it is a pass."""
    from livery.jobs.recordkeeping import keep_capture
    from livery.match.model import all_pass, tally_verdicts
    from livery.match.say import NO_INK_SEEN
    from livery.records.history import Occasion
    from livery.scheme import load_season

    scheme = load_season(season)
    when = date or datetime.now(UTC).isoformat(timespec="seconds")
    with records_of(season, database, make=True) as store:
        kept = keep_capture(scheme, store, photo, capture, Occasion(bat, bench, batch, when))
    counts = tally_verdicts(kept.comparisons)
    if as_json:
        alike = None if kept.looks_like is None else kept.looks_like.number
        print_json({"capture": kept.number, "verdicts": counts, "looks_like": alike})
    else:
        told = ", ".join(f"{number} {word}" for word, number in counts.items())
        if not kept.comparisons:
            told = f"nothing of it was judged, as {NO_INK_SEEN}"
        console().print(f"Capture {kept.number} is kept: {told}")
        if kept.looks_like is not None:
            console().print(kept.looks_like.text)
    if not all_pass(kept.comparisons):
        raise typer.Exit(FINDINGS)


@app.command("list")
def list_captures(
    season: Path = SeasonArgument,
    bat: str | None = typer.Option(None, "--bat", help="Of this bat alone."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """List the captures kept, oldest first."""
    from livery.records.history import read_captures

    with records_of(season, database) as store:
        rows = read_captures(store, bat)
    if as_json:
        print_json({"captures": list(rows)})
        return
    for row in rows:
        state = "good" if row["good"] else "re-shoot"
        where = f"{row['bench'] or 'no bench named'}, batch {row['batch'] or 'not named'}"
        text = f"{row['id']:>5}  {row['date']}  {row['bat']}  {where}  {state}"
        console().print(text, soft_wrap=True)
    console().print(format_count(len(rows), "capture"))


@app.command()
def remeasure(
    season: Path = SeasonArgument,
    target: str = typer.Option(..., "--target", help="The target.toml that photographs show."),
    regions: Path | None = typer.Option(None, "--regions", help="A regions.toml for all of them."),
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the new captures."),
    bat: str | None = typer.Option(None, "--bat", help="Of this bat alone."),
    database: str | None = DatabaseOption,
    jobs: int = jobs_flag(1),
    cluster: str = ClusterFlag,
    as_json: bool = JsonFlag,
) -> None:
    """Measure stored photographs again, into capture files.

    The records stay as they are; livery match SEASON FOLDER --each judges the new captures.
    """
    from livery.crew import find_crew
    from livery.jobs.photograph_tasks import read_setting
    from livery.jobs.remeasuring import remeasure_records, write_captures

    setting, crew = read_setting(target, regions, None), find_crew(jobs, cluster)
    with records_of(season, database) as store, watching(quiet=as_json) as watch:
        found = write_captures(remeasure_records(store, setting, bat, crew=crew, watch=watch), out)
    troubles = [one for one in found if one.trouble]
    if as_json:
        told = [{"capture": one.number, "bat": one.bat, "trouble": one.trouble} for one in found]
        print_json({"folder": str(out), "captures": told})
    else:
        for one in troubles:
            console().print(f"capture {one.number}: {one.trouble}", soft_wrap=True)
        good = sum(one.ok for one in found)
        console().print(
            f"{format_count(len(found), 'photograph')} of {setting.target.key} measured again: "
            f"{good} good, "
            f"{len(found) - good - len(troubles)} to be taken again, {len(troubles)} unreadable."
        )
    if not all(one.ok for one in found):
        raise typer.Exit(FINDINGS)


@app.command()
def verify(
    season: Path = SeasonArgument,
    receipt: list[Path] = typer.Option(
        [],
        "--receipt",
        metavar="FILE",
        help="A receipt the ledger must still agree with; repeat for more.",
    ),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Check the ledger, signatures, evidence and captures. Exit 1: something is wrong."""
    from livery.jobs.recordkeeping import verify_records

    with records_of(season, database) as store:
        troubles = verify_records(store, receipt)
        count = len(store.entries())
    if as_json:
        told = [{"entry": t.number, "text": t.text} for t in troubles]
        print_json({"entries": count, "stands": not troubles, "troubles": told})
    else:
        for trouble in troubles:
            place = f"entry {trouble.number}: " if trouble.number else ""
            console().print(f"WRONG  {place}{trouble.text}", soft_wrap=True)
        found = format_count(len(troubles), "trouble")
        words = f"{found}: sign nothing" if troubles else "all stands"
        console().print(f"{'1 entry' if count == 1 else f'{count} entries'}: {words}.")
    if troubles:
        raise typer.Exit(FINDINGS)


@app.command()
def export(
    season: Path = SeasonArgument,
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the files."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Write every table as CSV, and all of them as one JSON file."""
    from livery.jobs.recordkeeping import export_records

    with records_of(season, database) as store:
        files = export_records(store, out)
    _tell_files(out, files, as_json)


@app.command()
def backup(
    season: Path = SeasonArgument,
    out: Path = typer.Option(..., "--out", "-o", help="The file to write (tar)."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Write everything, evidence and accounts included, to one file."""
    from livery.jobs.recordkeeping import back_up_records

    with records_of(season, database) as store:
        back_up_records(store, out)
    _tell_files(out.parent, (Path(out.name),), as_json)


@app.command()
def restore(
    season: Path = SeasonArgument,
    file: Path = typer.Argument(..., metavar="FILE", help="A backup."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Make the records from a backup. One that does not stand changes nothing."""
    from livery.jobs.recordkeeping import restore_records

    folder = restore_records(season, file, database)
    _tell_files(folder.parent, (Path(folder.name),), as_json)


@app.command()
def trends(
    season: Path = SeasonArgument,
    out: Path = typer.Option(..., "--out", "-o", help="Folder for the plots."),
    ink: str | None = typer.Option(None, "--ink", help="Of this ink alone."),
    database: str | None = DatabaseOption,
    as_json: bool = JsonFlag,
) -> None:
    """Plot the colours of good captures over time. Item by item, with batches and benches."""
    from livery.jobs.recordkeeping import plot_trends
    from livery.scheme import load_season

    scheme = load_season(season)
    with records_of(season, database) as store:
        files = plot_trends(store, scheme, out, ink)
    _tell_files(out, files, as_json)


def _tell_files(folder: Path, files: tuple[Path, ...], as_json: bool) -> None:
    if as_json:
        print_json({"folder": str(folder), "files": [name.as_posix() for name in files]})
        return
    for name in files:
        console().print(str(folder / name), soft_wrap=True)
