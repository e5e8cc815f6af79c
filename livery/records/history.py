"""Captures and verdicts: entered once, asked about later."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from livery.errors import Fault, InputError
from livery.match.model import Comparison
from livery.records import tables
from livery.records.canonical import canonical, sha256
from livery.records.looks import note_look
from livery.records.outcome_queries import newest_of_each, newest_outcomes
from livery.records.seals import capture_key
from livery.records.store import Store


@dataclass(frozen=True, slots=True)
class Occasion:
    """When and on what a photograph was taken.

    Attributes:
        bat: what was photographed, by the order's key or another name.
        bench: which bench.
        batch: which print batch its decals came from; may be empty.
        date: ISO 8601.
    """

    bat: str
    bench: str
    batch: str
    date: str


@dataclass(frozen=True, slots=True)
class TrendPoint:
    """One sample in time: its capture's date, bench and batch, and its Lab (D50/2°)."""

    date: str
    bench: str
    batch: str
    bat: str
    item: str
    ink: str
    lab: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one capture came to: its worst verdict, ``re-shoot`` where there is no evidence."""

    number: int
    bat: str
    date: str
    bench: str
    verdict: str


_VERDICTS = ("pass", "re-shoot", "fail")
_COUNT = sa.select(sa.func.count()).where(tables.captures.c.bat == sa.bindparam("bat"))
_OF_ANOTHER = (
    sa.select(tables.captures.c.id, tables.captures.c.bat)
    .where(tables.captures.c.photo == sa.bindparam("photo"))
    .where(tables.captures.c.bat != sa.bindparam("bat"))
    .order_by(tables.captures.c.id)
    .limit(1)
)
_BY_KEY = sa.select(tables.captures.c.id).where(tables.captures.c.key == sa.bindparam("key"))


def save_capture(
    store: Store,
    photo: bytes,
    name: str,
    capture: Mapping[str, object],
    comparisons: Sequence[Comparison],
    occasion: Occasion,
) -> int:
    """Enter a capture with its photograph and verdicts; the same capture again changes nothing.

    Args:
        store: where to.
        photo: the photograph's bytes.
        name: the photograph's file name, kept as a note.
        capture: the capture as ``livery measure`` writes it.
        comparisons: verdicts reached on it; may be empty.
        occasion: bat, bench, batch and date.

    Returns:
        The capture's number.

    Raises:
        InputError: the photograph is kept already as evidence of another bat.
    """
    text, bat = canonical(capture).decode("utf-8"), occasion.bat
    key = capture_key(text, sha256(photo), bat)
    with store.engine.connect() as connection:
        known = connection.scalar(_BY_KEY, {"key": key})
    if known is not None:
        return int(known)
    with store.keeping((photo, name)) as (connection, (digest,)):
        known = connection.scalar(_BY_KEY, {"key": key})
        if known is not None:
            return int(known)
        if another := connection.execute(_OF_ANOTHER, {"photo": digest, "bat": bat}).first():
            found = f"this photograph is kept already, as capture {another.id} of {another.bat}"
            raise InputError(Fault(name, "", None, found, f"Photograph {bat} itself"))
        note_look(connection, digest, capture.get("fingerprint"))
        number = _insert_capture(connection, key, digest, text, capture, occasion)
        _insert_samples(connection, number, capture)
        if comparisons:
            rows = [{"capture": number, **comparison_row(c)} for c in comparisons]
            connection.execute(tables.comparisons.insert(), rows)
    return number


def read_captures(store: Store, bat: str | None = None) -> tuple[dict[str, object], ...]:
    """Captures as entered, oldest first, of one bat or all."""
    query = sa.select(tables.captures).order_by(tables.captures.c.id)
    if bat is not None:
        query = query.where(tables.captures.c.bat == bat)
    with store.engine.connect() as connection:
        rows = connection.execute(query).mappings().all()
    return tuple({**row, "capture": _parsed(row["id"], row["capture"])} for row in rows)


def _parsed(number: int, text: object) -> object:
    """A stored capture as data.

    Raises:
        InputError: the records are damaged.
    """
    try:
        return json.loads(str(text))
    except (ValueError, RecursionError) as error:
        fault = Fault(f"capture {number}", "", None, f"it is damaged ({error})", "Restore a backup")
        raise InputError(fault) from error


def read_outcomes(store: Store, bat: str | None = None, most: int = 0) -> tuple[Outcome, ...]:
    """What captures came to when last judged, oldest first.

    Args:
        store: where they are.
        bat: of this bat alone.
        most: so many, the newest; 0 for all.
    """
    query = newest_outcomes(bat is not None, most != 0)
    with store.engine.connect() as connection:
        rows = connection.execute(query, {"bat": bat, "most": most})
        return tuple(_outcome(row) for row in rows)


def count_captures(store: Store, bat: str) -> int:
    """How many captures of a bat are kept."""
    with store.engine.connect() as connection:
        return int(connection.scalar(_COUNT, {"bat": bat}) or 0)


def read_newest(store: Store) -> dict[str, tuple[int, Outcome]]:
    """By bat, how many captures of it are kept and what the newest came to."""
    with store.engine.connect() as connection:
        rows = connection.execute(newest_of_each()).all()
    return {row.bat: (row.kept, _outcome(row)) for row in rows}


def _outcome(row: sa.Row[Any]) -> Outcome:
    verdict = _VERDICTS[row.rank] if row.good and row.verdicts else "re-shoot"
    return Outcome(row.id, row.bat, row.date, row.bench, verdict)


def read_trend(store: Store, ink: str | None = None, most: int = 0) -> tuple[TrendPoint, ...]:
    """Samples from good captures in order of date.

    Args:
        store: where they are.
        ink: of this ink alone.
        most: so many of each item and ink, the newest; 0 for all.
    """
    c, s = tables.captures.c, tables.samples.c
    newest = (c.date.desc(), s.id.desc())
    age = sa.func.row_number().over(partition_by=(s.item, s.ink), order_by=newest)
    columns = (c.date, c.bench, c.batch, c.bat, s.item, s.ink, s.L, s.a, s.b, s.id)
    good = (
        sa.select(*columns, age.label("age")).join(tables.captures, c.id == s.capture).where(c.good)
    )
    if ink is not None:
        good = good.where(s.ink == ink)
    ranked = good.subquery()
    query = sa.select(ranked).order_by(ranked.c.date, ranked.c.id)
    if most:
        query = query.where(ranked.c.age <= most)
    with store.engine.connect() as connection:
        return tuple(
            TrendPoint(row[0], row[1], row[2], row[3], row[4], row[5], (row[6], row[7], row[8]))
            for row in connection.execute(query)
        )


def _insert_capture(
    connection: Connection,
    key: str,
    photo: str,
    text: str,
    capture: Mapping[str, object],
    occasion: Occasion,
) -> int:
    gates = capture.get("gates")
    good = isinstance(gates, list) and all(gate.get("ok") is True for gate in gates)
    row = {
        "key": key,
        "photo": photo,
        "bat": occasion.bat,
        "bench": occasion.bench,
        "batch": occasion.batch,
        "date": occasion.date,
        "good": good,
        "capture": text,
    }
    inserted = connection.execute(tables.captures.insert().values(**row)).inserted_primary_key
    if inserted is None:  # pragma: no cover - both databases return it
        raise RuntimeError("the database returned no key")
    return int(inserted[0])


def _insert_samples(connection: Connection, number: int, capture: Mapping[str, object]) -> None:
    samples = capture.get("samples")
    rows = [
        {
            "capture": number,
            "item": str(sample.get("item", sample["name"])),
            "ink": str(sample.get("ink", "")),
            "L": float(sample["lab"][0]),
            "a": float(sample["lab"][1]),
            "b": float(sample["lab"][2]),
        }
        for sample in (samples if isinstance(samples, list) else ())
        if sample.get("lab") is not None
    ]
    if rows:
        connection.execute(tables.samples.insert(), rows)


def comparison_row(comparison: Comparison) -> dict[str, object]:
    """A comparison as the table holds it."""
    return {
        "ink": comparison.ink,
        "a": comparison.a,
        "b": comparison.b,
        "de00": comparison.de00,
        "u95": comparison.u95,
        "p_inside": comparison.p_inside,
        "tolerance": comparison.tolerance,
        "verdict": str(comparison.verdict),
        "reason": comparison.reason,
    }
