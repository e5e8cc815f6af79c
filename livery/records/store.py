"""The store: one file in the season's folder, or PostgreSQL by URL."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from threading import Lock

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from livery.errors import Fault, InputError, OutputError
from livery.leftovers import clear_leftovers
from livery.records import tables
from livery.records.book import Book, read_book
from livery.records.engine import cannot_open, make_engine
from livery.records.evidence import EvidenceFolder, kind_of
from livery.records.keys import SecretKey
from livery.records.ledger import (
    Deed,
    Entry,
    Head,
    Trouble,
    entry_from_json,
    find_troubles,
    head_of,
    sign_entry,
)
from livery.records.migrating import upgrade
from livery.writing import write_whole

_LEDGER_LOCK = 7301  # any number of our own; names the ledger's advisory lock in PostgreSQL
_LEDGER = sa.select(tables.ledger.c.number, tables.ledger.c.entry).order_by(tables.ledger.c.number)
_LENGTH = sa.select(sa.func.count()).select_from(tables.ledger).scalar_subquery()
_ENDING = (
    sa.select(tables.ledger, _LENGTH).order_by(tables.ledger.c.number.desc()).limit(1)
)  # the last entry, and how many there are
_EVIDENCE = sa.select(tables.evidence.c.sha256).where(
    tables.evidence.c.sha256.in_(sa.bindparam("digests", expanding=True))
)


class Store:
    """Everything that happened in one season.

    Args:
        folder: the season's records folder; holds the evidence, the kept head, and the SQLite
            file unless ``url`` names another database.
        url: SQLAlchemy URL of a PostgreSQL database.
        reading: only to read: nothing is made, mended or brought up to date.

    Raises:
        OutputError: the store cannot be opened.
    """

    def __init__(self, folder: Path, url: str | None = None, *, reading: bool = False) -> None:
        self.folder = folder
        self.evidence = EvidenceFolder(folder / "evidence")
        self._turn: AbstractContextManager[object] = nullcontext()
        self._read: tuple[tuple[object, ...], Book] | None = None
        if reading:
            self.engine = make_engine(folder, url, reading=True)
            return
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            clear_leftovers(folder, deep=True)
            self.engine = make_engine(folder, url)
            if self.engine.dialect.name == "sqlite":
                # SQLite's own waiting is by chance; within one process writers stand in line.
                self._turn = Lock()
            with self.writing() as connection:
                upgrade(connection)
        except OutputError:
            raise
        except (OSError, UnicodeDecodeError, sa.exc.SQLAlchemyError) as error:
            raise cannot_open(folder, url, error) from error

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that holds the writer's place from its first moment."""
        with self._turn, self.engine.execution_options(writes=True).begin() as connection:
            if connection.dialect.name == "postgresql":
                connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LEDGER_LOCK)))
            yield connection

    def entries(self) -> tuple[Entry, ...]:
        """The ledger, in order.

        Raises:
            InputError: a line of it is no entry.
        """
        with self.engine.connect() as connection:
            return _read_ledger(connection)

    def enter(self, deed: Deed, key: SecretKey) -> Entry:
        """Sign a deed and append it.

        Raises:
            InputError: the ledger is broken, or the deed is out of turn; the text says why.
        """
        with self.writing() as connection:
            entries = _read_ledger(connection)
            _insist(find_troubles(entries, seen=self.kept_head()))
            book, troubles = read_book(entries)
            _insist(troubles)
            if objection := book.objection(deed, key.public.hex):
                raise InputError(Fault("ledger", deed.proof, None, objection, "Nothing was signed"))
            entry = sign_entry(deed, head_of(entries), key)
            row = {"number": entry.number, "entry": entry.to_json()}
            connection.execute(tables.ledger.insert().values(**row))
        self._keep_head()
        return entry

    def book(self) -> Book:
        """What the ledger says; read through again when its length or last entry has changed.

        Raises:
            InputError: a line of it is no entry.
        """
        with self.engine.connect() as connection:
            seen = tuple(connection.execute(_ENDING).first() or ())
            known = self._read
            if known is None or known[0] != seen:
                known = self._read = (seen, read_book(_read_ledger(connection))[0])
            return known[1]

    def verify(self, receipts: Sequence[Entry] = ()) -> tuple[Trouble, ...]:
        """Everything wrong with ledger, evidence and captures, read through; empty if all stand."""
        from livery.records.seals import find_broken_seals  # loads all that reads photographs

        lost = self._evidence_troubles(lambda digest, _: self.evidence.read(digest))
        with self.engine.connect() as connection:
            return (*self._ledger_troubles(receipts), *lost, *find_broken_seals(connection))

    def check_ledger(self) -> tuple[Trouble, ...]:
        """Everything wrong with the ledger, and what evidence is not there at its size."""
        return (*self._ledger_troubles(), *self._evidence_troubles(self.evidence.look_for))

    def _ledger_troubles(self, receipts: Sequence[Entry] = ()) -> list[Trouble]:
        entries, head = self.entries(), self.kept_head()
        troubles = [*find_troubles(entries, head, receipts), *read_book(entries)[1]]
        if head is None and len(entries) > 1:
            text = "the kept head is missing: a tail cut off would not show"
            troubles.append(Trouble(len(entries), text))
        return troubles

    @contextmanager
    def keeping(self, *evidence: tuple[bytes, str]) -> Iterator[tuple[Connection, tuple[str, ...]]]:
        """A transaction for what rests on some evidence: bytes, each with a name as a note.

        Gives the connection and each one's SHA-256. Evidence is whole, and on the disk, before
        a row tells of it.
        """
        digests = tuple(self.evidence.keep(data, through=True) for data, _ in evidence)
        rows = {
            digest: {"sha256": digest, "bytes": len(data), "kind": kind_of(data), "name": name}
            for digest, (data, name) in zip(digests, evidence, strict=True)
        }
        with self.writing() as connection:
            known = connection.scalars(_EVIDENCE, {"digests": list(rows)}).all()
            if new := [row for digest, row in rows.items() if digest not in known]:
                connection.execute(tables.evidence.insert(), new)
            yield connection, digests

    def kept_head(self) -> Head | None:
        """The head last seen, kept beside the database so that a tail cut off shows."""
        try:
            kept = json.loads((self.folder / "ledger-head.json").read_text("utf-8"))
            return Head(int(kept["number"]), str(kept["hash"]))
        except FileNotFoundError:
            return None
        except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return Head(1, "unreadable")

    def _keep_head(self) -> None:
        """Record the head; several writers may race, and the longest ledger wins."""
        with self.writing() as connection:
            head = head_of(_read_ledger(connection))
            text = json.dumps({"number": head.number, "hash": head.hash})
            write_whole(self.folder / "ledger-head.json", text + "\n")

    def _evidence_troubles(self, look: Callable[[str, int], object]) -> list[Trouble]:
        kept = tables.evidence.c
        with self.engine.connect() as connection:
            rows = connection.execute(
                sa.select(kept.sha256, kept.bytes).order_by(kept.sha256)
            ).all()
        lost = []
        for digest, size in rows:
            try:
                look(digest, size)
            except InputError as error:
                lost.append(Trouble(0, str(error)))
        return lost


def _read_ledger(connection: Connection) -> tuple[Entry, ...]:
    entries = []
    for number, text in connection.execute(_LEDGER):
        try:
            entries.append(entry_from_json(str(text)))
        except ValueError as error:
            fault = Fault("ledger", f"entry {number}", None, str(error), "Restore from a backup")
            raise InputError(fault) from error
    return tuple(entries)


def _insist(troubles: Sequence[Trouble]) -> None:
    if troubles:
        faults = [
            Fault(
                "ledger", f"entry {t.number}", None, t.text, "Restore from a backup; sign nothing"
            )
            for t in troubles
        ]
        raise InputError(*faults)
