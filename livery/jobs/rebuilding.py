"""``livery build``: nothing for a season that has not changed, and otherwise what has changed.

What stands in the results' folder is trusted only where the record of the build that made it, the
files it read, the options, the code and the results themselves are all as they were, by digest.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from livery.crew import Crew, Watch, unwatched
from livery.crew.fingerprint import Digester, code_fingerprint
from livery.jobs.making import RECORD, Record, Workbench, read_record, record_text
from livery.jobs.season_records import History, read_history
from livery.writing import StagedFolder, find_whole, write_whole

if TYPE_CHECKING:
    from livery.jobs.survey import Survey
    from livery.proof import Proof
    from livery.sheet import Nesting


@dataclass(frozen=True, slots=True)
class BuildOptions:
    """What a build may be told.

    Attributes:
        address: where the season's pages are served, for the code on each card; may be empty.
        kits_together: keep all decals of one kit item side by side.
        effort: times the usual counted work for a denser nesting.
        search_seconds: whole seconds for each attempt of a denser search; 0 does without.
    """

    address: str = ""
    kits_together: bool = False
    effort: int = 1
    search_seconds: int = 0


@dataclass(frozen=True, slots=True)
class Built:
    """What a build left behind.

    Attributes:
        files: relative to the results' folder, sorted.
        limits_broken: how many limits the season breaks.
        trouble: why proofs list no changes since what was offered; "" where they can.
        unchanged: everything stood already.
    """

    files: tuple[Path, ...]
    limits_broken: int
    trouble: str = ""
    unchanged: bool = False


def build_season(
    season: Path,
    out: Path,
    options: BuildOptions | None = None,
    crew: Crew | None = None,
    watch: Watch = unwatched,
    database: str | None = None,
) -> Built:
    """Bring a folder up to date with a season.

    Args:
        season: its file.
        out: folder to fill; earlier results stay as they are if anything fails.
        options: what the build is told.
        crew: who draws; this process unless given.
        watch: told of progress.
        database: PostgreSQL URL of the season's records, or None for those in its folder.

    Raises:
        SeasonError: the season, its palette or a rule book; every fault at once.
        ArtworkError: artwork that cannot be used.
        LiveryError: a sheet cannot be made, or a file not written.
    """
    build = _Build(season, out, options or BuildOptions(), crew, watch, database)
    history = read_history(season, database)
    asked = Digester().digest(build.options, history.digest, code_fingerprint())
    record = read_record(out)
    if record is not None and _stands(season, out, record, asked):
        return Built(_named(record), record.limits_broken, history.trouble, unchanged=True)
    return _make(build, asked, record, history)


@dataclass(frozen=True, slots=True)
class _Build:
    """What a build is given (see ``build_season``)."""

    season: Path
    out: Path
    options: BuildOptions
    crew: Crew | None
    watch: Watch
    database: str | None


def _make(build: _Build, asked: str, earlier: Record | None, history: History) -> Built:
    from livery.jobs.building import make_season, write_index
    from livery.jobs.player_papers import make_order
    from livery.jobs.survey import survey

    if build.crew is not None:
        build.crew.expect(make_order)
    found, watch = survey(build.season, build.watch), build.watch
    offered = _offered(found, build.database) if history.digest and not history.trouble else {}
    with StagedFolder(build.out) as staged:
        bench = Workbench(staged, build.crew, watch, earlier)
        address, nesting = build.options.address, _nesting(build.options)
        sections, _ = make_season(found, bench, staged, watch, address, nesting, offered=offered)
        write_index(found, staged, sections)
        record = _record(found, asked, bench, staged.digests())
        write_whole(staged.path / RECORD, record_text(record))
    return Built(_named(record), len(found.broken), history.trouble)


def _offered(found: Survey, database: str | None) -> dict[str, Proof]:
    """By order, the revision last offered: only a season with records loads what reads them."""
    from livery.jobs.revisions import earlier_proofs

    return earlier_proofs(found, database)


def _nesting(options: BuildOptions) -> Nesting:
    from livery.sheet import Nesting

    return Nesting(
        kits_together=options.kits_together,
        search_seconds=options.search_seconds,
        effort=options.effort,
    )


def _record(found: Survey, asked: str, bench: Workbench, files: dict[str, str]) -> Record:
    """What was made; what it was made of only if no file was changed meanwhile."""
    season, inputs = found.scheme.path, found.scheme.digests
    steady = _are_still(season, inputs)
    return Record(asked, inputs if steady else (), len(found.broken), files, bench.made)


def _named(record: Record) -> tuple[Path, ...]:
    return tuple(sorted(map(Path, record.files)))


def _stands(season: Path, out: Path, earlier: Record, asked: str) -> bool:
    """Whether the results in a folder are what would be made anew."""
    if earlier.asked != asked or not _are_still(season, earlier.inputs):
        return False
    standing = find_whole(out) or {}
    return standing.pop(RECORD.as_posix(), "") != "" and standing == earlier.files


def _are_still(season: Path, inputs: tuple[tuple[str, str], ...]) -> bool:
    if not inputs or inputs[0][0] != season.name:
        return False
    return all(_digest(season.parent / name) == digest for name, digest in inputs)


def _digest(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
    except OSError:
        return ""
