"""Verdicts on stored captures: as they stand, and as they are judged again later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa

from livery.match.model import Comparison, Verdict
from livery.match.rulings import Ruling
from livery.records import tables
from livery.records.history import comparison_row
from livery.records.outcome_queries import is_latest
from livery.records.store import Store


@dataclass(frozen=True, slots=True)
class KeptCapture:
    """A capture as stored, with the verdicts that stand.

    Attributes:
        text: what ``livery measure`` wrote, as JSON.
        rulings: of the latest judgement; empty where none was reached.
    """

    number: int
    bat: str
    date: str
    text: str
    rulings: tuple[Ruling, ...]


@dataclass(frozen=True, slots=True)
class KeptPhotograph:
    """A capture's photograph among the evidence: its SHA-256, and its file's name."""

    number: int
    bat: str
    digest: str
    name: str


def list_photographs(
    store: Store, numbers: Sequence[int]
) -> tuple[tuple[KeptPhotograph, str], ...]:
    """Photographs of some captures, each with its capture's JSON text, oldest first."""
    c, e = tables.captures.c, tables.evidence.c
    query = (
        sa.select(c.id, c.bat, c.photo, e.name, c.capture)
        .join(tables.evidence, e.sha256 == c.photo)
        .where(c.id.in_(numbers))
        .order_by(c.id)
    )
    with store.engine.connect() as connection:
        return tuple(
            (KeptPhotograph(row[0], row[1], row[2], row[3]), row[4])
            for row in connection.execute(query)
        )


def list_numbers(store: Store, bat: str | None = None) -> tuple[int, ...]:
    """Numbers of all captures, or of one bat's, oldest first."""
    query = sa.select(tables.captures.c.id).order_by(tables.captures.c.id)
    if bat is not None:
        query = query.where(tables.captures.c.bat == bat)
    with store.engine.connect() as connection:
        return tuple(connection.scalars(query))


def read_kept(store: Store, numbers: Sequence[int]) -> tuple[KeptCapture, ...]:
    """Some captures, oldest first, in two queries."""
    c, v = tables.captures.c, tables.comparisons.c
    captures = sa.select(c.id, c.bat, c.date, c.capture).where(c.id.in_(numbers)).order_by(c.id)
    columns = (v.capture, v.ink, v.a, v.b, v.de00, v.tolerance, v.verdict)
    verdicts = sa.select(*columns).where(v.capture.in_(numbers), is_latest()).order_by(v.id)
    found: dict[int, list[Ruling]] = {number: [] for number in numbers}
    with store.engine.connect() as connection:
        for number, *pair, de00, tolerance, verdict in connection.execute(verdicts):
            ruling = Ruling(pair[0], pair[1], pair[2], de00, tolerance, Verdict(verdict))
            found[number].append(ruling)
        return tuple(
            KeptCapture(row[0], row[1], row[2], str(row[3]), tuple(found[row[0]]))
            for row in connection.execute(captures)
        )


def add_judgement(
    store: Store, found: Sequence[tuple[int, Sequence[Comparison]]], date: str
) -> None:
    """Enter later verdicts on captures, all or none; the earlier ones stay beside them.

    Args:
        store: where to.
        found: capture numbers, each with every comparison of that capture.
        date: when they were reached, ISO 8601; later than any before.
    """
    rows = [
        {"capture": number, "judged": date, **comparison_row(one)}
        for number, comparisons in found
        for one in comparisons
    ]
    if rows:
        with store.writing() as connection:
            connection.execute(tables.comparisons.insert(), rows)
