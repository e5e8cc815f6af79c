"""Where a season's records lie, opened; and what of the past they hold, as one digest."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from livery.errors import Fault, InputError, OutputError

if TYPE_CHECKING:
    from livery.records.store import Store


@dataclass(frozen=True, slots=True)
class History:
    """What was offered so far, as far as it can be read.

    Attributes:
        digest: SHA-256 over what every revision offered stated and looked like; "" without any.
        trouble: why it cannot be read; "" when it can.
    """

    digest: str = ""
    trouble: str = ""


def records_folder(season: Path) -> Path:
    """Where a season's records lie: ``<stem>.records`` beside the season file."""
    return season.parent / f"{season.stem}.records"


def open_records(
    season: Path, database: str | None = None, *, make: bool = False, reading: bool = False
) -> Store:
    """Open a season's records.

    Args:
        season: the season file.
        database: PostgreSQL URL, or None for SQLite in the records folder.
        make: make them when there are none.
        reading: only to read; nothing is written, so that a shut folder will do.

    Raises:
        InputError: there are none.
        OutputError: they cannot be opened.
    """
    from livery.records.store import Store

    folder = records_folder(season)
    if not make and not folder.is_dir():
        mend = "Begin them with livery sign begin, or keep a capture"
        raise InputError(Fault(str(folder), "", None, "there are no records yet", mend))
    return Store(folder, database, reading=reading)


def read_history(season: Path, database: str | None = None) -> History:
    """What was offered so far, by digest: two that are equal give the same lists of changes."""
    if not records_folder(season).is_dir():
        return History()
    from livery.records.papers import list_papers

    try:
        store = open_records(season, database, reading=True)
        try:
            offered = [(one.proof, one.revision, one.content) for one in store.book().standings]
            seen = repr((offered, list_papers(store)))
        finally:
            store.close()
    except (InputError, OutputError) as error:
        return History("unread", str(error))
    return History(hashlib.sha256(seen.encode("utf-8")).hexdigest() if offered else "")
