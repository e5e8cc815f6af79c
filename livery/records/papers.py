"""What was put before a signer: the proof as a PDF, its pages as pictures, and what it states."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from livery.records import tables
from livery.records.store import Store


@dataclass(frozen=True, slots=True)
class Papers:
    """One revision of one proof as it was shown.

    Attributes:
        content: SHA-256 of the content shown.
        pdf: SHA-256 of its PDF, among the evidence.
        pages: SHA-256 of each page's compressed SVG, among the evidence.
        facts: (subject, statement) pairs it states.
        likeness: SHA-256 of what it looked like, among the evidence; "" where none was kept.
    """

    proof: str
    revision: int
    content: str
    pdf: str
    pages: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    likeness: str = ""


def keep_papers(
    store: Store,
    proof: tuple[str, int, str],
    pdf: bytes,
    pages: Sequence[bytes],
    facts: tuple[tuple[str, str], ...],
    likeness: bytes = b"",
) -> Papers:
    """Keep what is about to be shown; the same content again changes nothing.

    Args:
        store: where to.
        proof: the order's key, the revision, and the SHA-256 of the content.
        pdf: the proof.
        pages: its pages as compressed SVG.
        facts: what it states.
        likeness: what its surfaces look like, to be drawn again beside a later revision.
    """
    key, revision, content = proof
    name = f"{key} revision {revision}"
    kept = Papers(
        key,
        revision,
        content,
        store.keep_evidence(pdf, f"{name}.pdf"),
        tuple(store.keep_evidence(page, f"{name}.svgz") for page in pages),
        facts,
        store.keep_evidence(likeness, f"{name} likeness.json.gz") if likeness else "",
    )
    row = {
        "proof": key,
        "revision": revision,
        "content": content,
        "pdf": kept.pdf,
        "pages": json.dumps(kept.pages),
        "facts": json.dumps(facts, ensure_ascii=False),
        "likeness": kept.likeness or None,
    }
    table = tables.papers
    same = (table.c.proof == key) & (table.c.revision == revision) & (table.c.content == content)
    with store.writing() as connection:
        if connection.execute(sa.select(table.c.pdf).where(same)).first() is None:
            connection.execute(table.insert().values(**row))
    return kept


def find_papers(store: Store, proof: str) -> tuple[Papers, ...]:
    """Everything shown of a proof, oldest revision first."""
    return _read(store, sa.select(tables.papers).where(tables.papers.c.proof == proof))


def list_papers(store: Store) -> tuple[Papers, ...]:
    """Everything shown, by proof, oldest revision first."""
    return _read(store, sa.select(tables.papers))


def _read(store: Store, query: sa.Select[Any]) -> tuple[Papers, ...]:
    keys = tables.papers.c
    query = query.order_by(keys.proof, keys.revision, keys.content)
    with store.engine.connect() as connection:
        rows = connection.execute(query).mappings().all()
    return tuple(
        Papers(
            row["proof"],
            row["revision"],
            row["content"],
            row["pdf"],
            tuple(json.loads(row["pages"])),
            tuple((subject, text) for subject, text in json.loads(row["facts"])),
            row["likeness"] or "",
        )
        for row in rows
    )
