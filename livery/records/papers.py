"""What was put before a signer: the proof as a PDF, its pages as pictures, and what it states."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from livery.errors import Fault, InputError
from livery.records import tables
from livery.records.store import Store

_C = tables.papers.c
_ALL = sa.select(tables.papers).order_by(_C.proof, _C.revision, _C.content)
_OF_PROOF = _ALL.where(_C.proof == sa.bindparam("proof"))
_SAME = sa.select(_C.pdf).where(
    *(column == sa.bindparam(column.name) for column in (_C.proof, _C.revision, _C.content))
)


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
    evidence = [(pdf, f"{name}.pdf"), *((page, f"{name}.svgz") for page in pages)]
    if likeness:
        evidence.append((likeness, f"{name} likeness.json.gz"))
    named = {"proof": key, "revision": revision, "content": content}
    with store.keeping(*evidence) as (connection, digests):
        own = digests[1 : 1 + len(pages)]
        look = digests[-1] if likeness else ""
        if connection.scalar(_SAME, named) is None:
            row = {
                **named,
                "pdf": digests[0],
                "pages": json.dumps(own),
                "facts": json.dumps(facts, ensure_ascii=False),
                "likeness": look or None,
            }
            connection.execute(tables.papers.insert().values(**row))
    return Papers(key, revision, content, digests[0], own, facts, look)


def find_papers(store: Store, proof: str) -> tuple[Papers, ...]:
    """Everything shown of a proof, oldest revision first."""
    return _read(store, _OF_PROOF, {"proof": proof})


def list_papers(store: Store) -> tuple[Papers, ...]:
    """Everything shown, by proof, oldest revision first."""
    return _read(store, _ALL, {})


def _read(store: Store, query: sa.Select[Any], words: dict[str, str]) -> tuple[Papers, ...]:
    with store.engine.connect() as connection:
        return tuple(_papers(row) for row in connection.execute(query, words).mappings())


def _papers(row: Mapping[Any, Any]) -> Papers:
    """A row as papers.

    Raises:
        InputError: the records are damaged.
    """
    try:
        return Papers(
            row["proof"],
            row["revision"],
            row["content"],
            row["pdf"],
            tuple(json.loads(row["pages"])),
            tuple((subject, text) for subject, text in json.loads(row["facts"])),
            row["likeness"] or "",
        )
    except (TypeError, ValueError, RecursionError) as error:
        named, found = f"{row['proof']} revision {row['revision']}", f"it is damaged ({error})"
        raise InputError(Fault(named, "", None, found, "Restore a backup")) from error
