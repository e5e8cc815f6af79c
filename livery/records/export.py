"""Records out and back: CSV and JSON to read, a backup to restore."""

from __future__ import annotations

import csv
import io
import json
import tarfile
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

import sqlalchemy as sa

from livery.errors import Fault, InputError, OutputError
from livery.records import tables
from livery.records.store import Store
from livery.writing import write_whole

_ORDER = ("evidence", "captures", "samples", "comparisons", "ledger")


def export_json(store: Store) -> str:
    """Every table as one JSON document, rows in their order."""
    return json.dumps(_rows(store), ensure_ascii=False, indent=1) + "\n"


def export_csv(store: Store) -> dict[str, str]:
    """Every table as CSV text (RFC 4180, header row), by table name.

    A cell that a spreadsheet would run as a formula is led by an apostrophe.
    """
    return {name: _csv(tables.metadata.tables[name], rows) for name, rows in _rows(store).items()}


def back_up(store: Store, path: Path) -> None:
    """Write rows and evidence to one tar file, whole or not at all.

    Raises:
        OutputError: it cannot be written.
    """
    buffer = io.BytesIO()
    with tarfile.open(fileobj=buffer, mode="w", format=tarfile.PAX_FORMAT) as archive:
        _add(archive, "records.json", export_json(store).encode("utf-8"))
        head = store.folder / "ledger-head.json"
        if head.exists():
            _add(archive, "ledger-head.json", head.read_bytes())
        for row in _rows(store)["evidence"]:
            digest = str(row["sha256"])
            _add(archive, f"evidence/{digest}", store.evidence.read(digest))
    write_whole(path, buffer.getvalue())


def restore(path: Path, folder: Path, url: str | None = None) -> Store:
    """Make a store from a backup; the folder must not hold one already.

    Raises:
        InputError: the file is no backup, or its content does not stand.
        OutputError: there is a store already.
    """
    store = Store(folder, url)
    if any(_rows(store).values()):
        store.close()
        raise OutputError(f"{folder}: holds records already. Restore into an empty folder.")
    try:
        with tarfile.open(path, "r:") as archive:
            members = {m.name: m for m in archive.getmembers() if m.isfile()}
            tables_text = _read(archive, members["records.json"])
            for name, member in members.items():
                if PurePosixPath(name).parent == PurePosixPath("evidence"):
                    store.evidence.keep(_read(archive, member))
            if "ledger-head.json" in members:
                head = _read(archive, members["ledger-head.json"])
                write_whole(store.folder / "ledger-head.json", head)
        _insert(store, json.loads(tables_text))
    except (tarfile.TarError, KeyError, ValueError, OSError, sa.exc.SQLAlchemyError) as error:
        store.close()
        fault = Fault(str(path), "", None, f"not a livery backup ({error})", "Choose another file")
        raise InputError(fault) from error
    if troubles := store.verify():
        store.close()
        raise InputError(*(Fault(str(path), "", None, t.text, "Distrust it") for t in troubles))
    return store


def _rows(store: Store) -> dict[str, list[dict[str, object]]]:
    with store.engine.connect() as connection:
        return {
            name: [
                dict(row)
                for row in connection.execute(
                    sa.select(table).order_by(*table.primary_key.columns)
                ).mappings()
            ]
            for name, table in ((n, tables.metadata.tables[n]) for n in _ORDER)
        }


def _insert(store: Store, rows: dict[str, list[dict[str, object]]]) -> None:
    with store.writing() as connection:
        for name in _ORDER:
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
