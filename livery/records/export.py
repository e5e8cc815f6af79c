"""Records out and back: CSV and JSON to read, a backup to restore."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import tarfile
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

import sqlalchemy as sa

from livery.errors import Fault, InputError, OutputError
from livery.leftovers import clear_leftovers, make_temporary_folder, open_temporary
from livery.records import tables
from livery.records.ledger import Trouble
from livery.records.store import Store
from livery.writing import write_whole

Rows = dict[str, list[dict[str, object]]]

_ORDER = ("evidence", "captures", "samples", "comparisons", "ledger", "papers")
_HEAD = "ledger-head.json"
_MALFORMED = (
    KeyError,
    TypeError,
    AttributeError,
    ValueError,
    OverflowError,
    RecursionError,
    sa.exc.SQLAlchemyError,
)


def export_json(store: Store) -> str:
    """Every table as one JSON document, rows in their order."""
    return _as_json(_rows(store))


def export_csv(store: Store) -> dict[str, str]:
    """Every table as CSV text (RFC 4180, header row), by table name.

    A cell that a spreadsheet would run as a formula is led by an apostrophe.
    """
    return {name: _csv(tables.metadata.tables[name], rows) for name, rows in _rows(store).items()}


def back_up(store: Store, path: Path) -> None:
    """Write rows, evidence and accounts to one tar file, whole or not at all.

    Passwords in it are hashed and keys locked with them, but it opens to nobody but its owner.

    Raises:
        InputError: some evidence is missing or changed.
        OutputError: it cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        clear_leftovers(path.parent)
        handle, made = open_temporary(path.parent, path.name)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror}).") from error
    try:
        with (
            os.fdopen(handle, "wb") as stream,
            tarfile.open(fileobj=stream, mode="w", format=tarfile.PAX_FORMAT) as archive,
        ):
            _fill(archive, store)
        made.replace(path)
    except OSError as error:
        raise OutputError(f"{path}: cannot be written ({error.strerror}).") from error
    finally:
        made.unlink(missing_ok=True)


def _fill(archive: tarfile.TarFile, store: Store) -> None:
    rows = _rows(store, (*_ORDER, "accounts"))
    given = dict(store.book().offices)  # an account without one was never finished
    rows["accounts"] = [row for row in rows["accounts"] if row["name"] in given]
    _add(archive, "records.json", _as_json(rows).encode("utf-8"))
    head = store.folder / _HEAD
    if head.exists():
        _add(archive, _HEAD, head.read_bytes())
    for row in rows["evidence"]:
        digest = str(row["sha256"])
        _add(archive, f"evidence/{digest}", store.evidence.read(digest))


def restore(path: Path, folder: Path, url: str | None = None) -> Store:
    """Make a store from a backup. A backup that does not stand leaves nothing behind.

    Args:
        path: the backup.
        folder: where the records are to be; absent or empty.
        url: an empty PostgreSQL database for the rows, or None for SQLite in the folder.

    Raises:
        InputError: the file is no backup, or its content does not stand.
        OutputError: there are records already, or the place cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(f"{folder}: holds records already. Restore into an empty folder.")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        clear_leftovers(folder.parent)
        lock, made = make_temporary_folder(folder.parent, f"{folder.name}.")
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error.strerror}).") from error
    try:
        rows = _unpack(path, made)
        if url is not None:
            for name in ("records.sqlite", "records.sqlite-wal", "records.sqlite-shm"):
                (made / name).unlink(missing_ok=True)
            _pour(rows, made, url)
        made.replace(folder)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error})") from error
    finally:
        shutil.rmtree(made, ignore_errors=True)
        os.close(lock)
    return Store(folder, url)


def _unpack(path: Path, made: Path) -> Rows:
    """Rebuild the records in a folder of their own and prove them; returns the rows."""
    store = Store(made)
    try:
        if path.exists() and not path.is_file():
            raise ValueError("it is not a plain file")
        with tarfile.open(path, "r:") as archive:
            members = {m.name: m for m in archive.getmembers() if m.isfile()}
            if any(member.issparse() for member in members.values()):
                raise ValueError("a file of it has holes, which no backup's has")
            rows: Rows = json.loads(_read(archive, members["records.json"]))
            for name, member in members.items():
                if PurePosixPath(name).parent == PurePosixPath("evidence"):
                    store.evidence.keep(_read(archive, member))
            if _HEAD in members:
                write_whole(made / _HEAD, _read(archive, members[_HEAD]))
        _insert(store, rows)
        troubles = (*store.verify(), *_account_troubles(store, rows))
    except (OutputError, tarfile.TarError, OSError, *_MALFORMED) as error:
        fault = Fault(str(path), "", None, f"not a livery backup ({error})", "Choose another file")
        raise InputError(fault) from error
    finally:
        store.close()
    if troubles:
        raise InputError(*(Fault(str(path), "", None, t.text, "Distrust it") for t in troubles))
    return rows


def _account_troubles(store: Store, rows: Rows) -> list[Trouble]:
    """Accounts that hold another office than the ledger's maker gave them."""
    given = dict(store.book().offices)
    names = [row["name"] for row in rows["accounts"] if given.get(str(row["name"])) != row["role"]]
    return [Trouble(0, f"{name}'s account is not what the ledger says") for name in names]


def _pour(rows: Rows, made: Path, url: str) -> None:
    store = Store(made, url)
    try:
        if any(_rows(store, (*_ORDER, "accounts")).values()):
            raise OutputError("The database holds records already. Restore into an empty one.")
        _insert(store, rows)
    except sa.exc.SQLAlchemyError as error:
        raise OutputError(f"the database did not take the rows ({error})") from error
    finally:
        store.close()


def _as_json(rows: Rows) -> str:
    return json.dumps(rows, ensure_ascii=False, indent=1) + "\n"


def _rows(store: Store, names: tuple[str, ...] = _ORDER) -> Rows:
    with store.engine.connect() as connection:
        return {
            name: [
                dict(row)
                for row in connection.execute(
                    sa.select(table).order_by(*table.primary_key.columns)
                ).mappings()
            ]
            for name, table in ((n, tables.metadata.tables[n]) for n in names)
        }


def _insert(store: Store, rows: Rows) -> None:
    with store.writing() as connection:
        for name in (*_ORDER, "accounts"):
            if rows[name]:
                connection.execute(tables.metadata.tables[name].insert(), rows[name])
        if connection.dialect.name == "postgresql":
            for name in ("captures", "samples", "comparisons"):
                sequence = f"SELECT setval('{name}_id_seq', (SELECT max(id) FROM {name}))"
                if rows[name]:
                    connection.execute(sa.text(sequence))


def _csv(table: sa.Table, rows: Iterable[dict[str, object]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, [column.name for column in table.columns])
    writer.writeheader()
    writer.writerows({k: _inert(v) for k, v in row.items()} for row in rows)
    return out.getvalue()


def _inert(value: object) -> object:
    risky = isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r")
    return f"'{value}" if risky else value


def _add(archive: tarfile.TarFile, name: str, data: bytes) -> None:
    member = tarfile.TarInfo(name)
    member.size = len(data)
    archive.addfile(member, io.BytesIO(data))


def _read(archive: tarfile.TarFile, member: tarfile.TarInfo) -> bytes:
    stream = archive.extractfile(member)
    if stream is None:
        raise ValueError(f"{member.name} is not a file")
    return stream.read()
