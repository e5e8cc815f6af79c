"""The database under a store: SQLite in its folder, or PostgreSQL by URL."""

from __future__ import annotations

import os
import sqlite3
from functools import partial
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from livery.errors import Fault, InputError, OutputError

DATABASE = "records.sqlite"
_KEPT_OPEN = 20  # connections, and as many more for a while; workshop choice
_PAGES_KIB = 256  # each connection's own; the system's file cache, which all share, reads as fast


def make_engine(folder: Path, url: str | None, *, reading: bool = False) -> Engine:
    """An engine whose troubles are told in words.

    Args:
        folder: of the records; holds the SQLite file.
        url: SQLAlchemy URL of a PostgreSQL database, or None for SQLite.
        reading: nothing is to be written, not even beside the file.

    Raises:
        InputError: the URL is none of PostgreSQL, or its driver is not installed.
    """
    if url is None:
        engine = _sqlite(folder / DATABASE, reading)
    elif url.startswith(("postgresql://", "postgresql+")):
        engine = _postgresql(url)
    else:
        raise InputError(Fault("--database", "", None, "not a PostgreSQL URL", _mend(url)))

    def tell(context: sa.engine.ExceptionContext) -> None:
        """A database that is full, locked, broken or gone is a place that cannot be written."""
        if not isinstance(context.sqlalchemy_exception, sa.exc.IntegrityError):
            error = context.original_exception
            raise _refusal(folder, url, "used", error) from error

    sa.event.listen(engine, "handle_error", tell)
    return engine


def cannot_open(folder: Path, url: str | None, error: BaseException) -> OutputError:
    """What to say of records that cannot be opened."""
    return _refusal(folder, url, "opened", error)


def _refusal(folder: Path, url: str | None, done: str, error: BaseException) -> OutputError:
    told = f"the records cannot be {done} ({_in_short(error)}). {_mend(url, error)}"
    return OutputError(f"{_place(url, folder)}: {told}")


def _sqlite(path: Path, reading: bool) -> Engine:
    if reading:
        connect = partial(_connect_to_read, path)
        engine = sa.create_engine("sqlite://", creator=connect, poolclass=sa.NullPool)
        engine = engine.execution_options(writes=False)
    else:
        url = sa.URL.create("sqlite", database=str(path))
        engine = sa.create_engine(url, pool_size=_KEPT_OPEN, max_overflow=_KEPT_OPEN)
        sa.event.listen(engine, "connect", _prepare_sqlite)
    sa.event.listen(engine, "begin", _begin)
    return engine


def _connect_to_read(path: Path) -> sqlite3.Connection:
    """Open a file that stays as it is; in a shut folder with no journal, no lock is asked for.

    Source: sqlite.org on read-only databases in WAL mode and on ``immutable``. [from-memory]
    """
    journal = path.with_name(f"{path.name}-wal")
    pending = journal.exists() and journal.stat().st_size > 0
    still = "" if pending or os.access(path.parent, os.W_OK) else "&immutable=1"
    return sqlite3.connect(
        f"{path.resolve().as_uri()}?mode=ro{still}",
        uri=True,
        isolation_level=None,
        timeout=30.0,
        check_same_thread=False,
    )


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    """WAL, foreign keys, patience, few pages held, and our own BEGIN.

    Source: SQLAlchemy's SQLite notes on transactions; sqlite.org on WAL. [from-memory]
    """
    connection.isolation_level = None
    for pragma in (
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        "busy_timeout=30000",
        f"cache_size=-{_PAGES_KIB}",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    """Readers never wait for a writer; writers take their turn before they read."""
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _postgresql(url: str) -> Engine:
    try:
        return sa.create_engine(
            url, pool_size=_KEPT_OPEN, max_overflow=_KEPT_OPEN, pool_pre_ping=True
        )
    except ModuleNotFoundError as error:
        mend = "Install livery with its postgresql extra, and write postgresql+psycopg://"
        fault = Fault("--database", "", None, f"{error.name} is not installed", mend)
        raise InputError(fault) from error
    except ValueError as error:  # of the URL's parts
        fault = Fault("--database", "", None, f"no sound URL ({error})", _mend(url))
        raise InputError(fault) from error


def _place(url: str | None, folder: Path) -> str:
    """Where the records are, without a password."""
    if url is None:
        return str(folder)
    try:
        return sa.make_url(url).render_as_string(hide_password=True)
    except sa.exc.ArgumentError:
        return "--database"


def _mend(url: str | None, error: BaseException | None = None) -> str:
    damaged = ("malformed", "not a database", "already exists", "no such table", "decode byte")
    if url is None and any(word in str(error) for word in damaged):
        return "The database is damaged: restore it from a backup"
    if url is None:
        return "Free the folder, or let yourself write in it"
    return "Give postgresql+psycopg://name@host/database of a server that runs"


def _in_short(error: BaseException) -> str:
    """The first line of what a database says."""
    cause = getattr(error, "orig", None) or error
    return next((line.strip() for line in str(cause).splitlines() if line.strip()), "no reason")
