"""A proof looked at: its pages, what it states, its revisions, and what changed between two."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from threading import Lock
from urllib.parse import quote

from livery.drawing import Drawing
from livery.errors import Fault, InputError
from livery.jobs.signing import (
    ProofStatus,
    find_previous,
    find_status,
    list_standings,
    papers_as_proof,
    proof_of,
)
from livery.jobs.survey import Survey
from livery.output import render_svg
from livery.proof import (
    Change,
    Proof,
    changes_drawing,
    find_changes,
    likenesses_of,
    proof_drawing,
)
from livery.records.book import Standing
from livery.records.ledger import Act
from livery.records.papers import find_papers
from livery.records.store import Store
from livery.scheme.model import Order

_DRAWING = Lock()  # two who ask for one page at once are better served one after the other
_DRAFTS = 12  # drawings kept, of proofs as they are now; workshop choice


@dataclass(frozen=True, slots=True)
class ProofView:
    """A proof as it is now.

    Attributes:
        slug: the order's key as part of an address.
        pages: how many it has.
        facts: (subject, statement) pairs it makes, for those who cannot see the pages.
        standings: every revision offered, oldest first.
        changes: from the revision offered before.
    """

    slug: str
    status: ProofStatus
    pages: int
    facts: tuple[tuple[str, str], ...]
    standings: tuple[Standing, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Side:
    """One of two revisions compared."""

    name: str
    content: str
    pages: int


@dataclass(frozen=True, slots=True)
class Compared:
    """Two revisions beside each other.

    Attributes:
        drawn: how many pages of pictures show what changed.
        choices: (content, name) of everything that can be compared.
    """

    before: Side
    after: Side
    changes: tuple[Change, ...]
    drawn: int
    choices: tuple[tuple[str, str], ...]


def view_proof(found: Survey, store: Store, order: Order) -> ProofView:
    """Everything a page about a proof shows."""
    proof = proof_of(found, order)
    earlier = find_previous(store, proof)
    return ProofView(
        quote(order.key, safe=""),
        find_status(found, store, order),
        _pages(found, store, order, proof),
        proof.facts,
        list_standings(found, store, order),
        find_changes(earlier, proof) if earlier is not None else (),
    )


def draw_page(found: Survey, store: Store, order: Order, number: int) -> str:
    """One page of a proof as the season gives it now, as SVG; pages count from 1."""
    return render_svg(_draft(found, store, order), number - 1)


def kept_page(store: Store, order: Order, content: str, number: int) -> bytes | None:
    """A page of a revision that was offered, as compressed SVG; None when it was not."""
    for papers in find_papers(store, order.key)[::-1]:
        if papers.content == content and 1 <= number <= len(papers.pages):
            return store.evidence.read(papers.pages[number - 1])
    return None


def compare_revisions(
    found: Survey, store: Store, order: Order, before: str = "", after: str = ""
) -> Compared:
    """What differs between two revisions, by their content; the last offered and now if not said.

    Raises:
        InputError: no such content was ever offered.
    """
    return _compare(found, store, order, before, after)[0]


def draw_comparison(
    found: Survey, store: Store, order: Order, sides: tuple[str, str], number: int
) -> str | None:
    """A page of pictures of what changed between two contents, as SVG; None if there is none.

    Raises:
        InputError: no such content was ever offered.
    """
    drawing = _compare(found, store, order, *sides)[1]
    if drawing is None or not 1 <= number <= len(drawing.pages):
        return None
    return render_svg(drawing, number - 1)


def _compare(
    found: Survey, store: Store, order: Order, before: str, after: str
) -> tuple[Compared, Drawing | None]:
    now = proof_of(found, order)
    kept = {papers.content: papers for papers in find_papers(store, order.key)}
    choices = [(c, f"revision {p.revision}, {c[:8]}") for c, p in kept.items()]
    if now.content_hash not in kept:
        choices.append((now.content_hash, f"now, {now.content_hash[:8]}"))
    after = after or now.content_hash
    others = [content for content, _ in choices if content != after]
    before = before or (others[-1] if others else after)
    names = dict(choices)
    for content in (before, after):
        if content not in names:
            fault = Fault("revision", content[:12], None, "it was never offered", "Choose another")
            raise InputError(fault)
    first, second = (
        papers_as_proof(store, kept[content], order.player)
        if content in kept
        else replace(now, likenesses=likenesses_of(found.of_order(order), found.scheme.palette))
        for content in (before, after)
    )
    drawing = changes_drawing(found.scheme, first, second)
    sides = [
        Side(names[one.content_hash], one.content_hash, _pages(found, store, order, one))
        for one in (first, second)
    ]
    drawn = len(drawing.pages) if drawing is not None else 0
    changes = find_changes(first, second)
    return Compared(sides[0], sides[1], changes, drawn, tuple(choices)), drawing


def receipt_text(store: Store, order: Order) -> str | None:
    """The newest answer to a proof as a receipt; None when there is none."""
    answers = [
        entry
        for entry in store.entries()
        if entry.proof == order.key and entry.act in (Act.AGREE, Act.DECLINE)
    ]
    if not answers:
        return None
    return json.dumps(asdict(answers[-1]), ensure_ascii=False, indent=1) + "\n"


def _pages(found: Survey, store: Store, order: Order, proof: Proof) -> int:
    """How many pages a revision has: as it was kept, else as it would be drawn now."""
    for papers in find_papers(store, order.key):
        if papers.content == proof.content_hash:
            return len(papers.pages)
    return len(_draft(found, store, order).pages)


def _draft(found: Survey, store: Store, order: Order) -> Drawing:
    """The proof as the season gives it now, drawn once while it and what it follows stay."""
    earlier = find_previous(store, proof_of(found, order))
    key = (order.key, "" if earlier is None else earlier.content_hash)
    known = _drafts_of(found)
    with _DRAWING:
        if key not in known:
            while len(known) >= _DRAFTS:
                del known[next(iter(known))]
            known[key] = proof_drawing(found.scheme, order, found.of_order(order), previous=earlier)
        return known[key]


@lru_cache(maxsize=1)
def _drafts_of(found: Survey) -> dict[tuple[str, str], Drawing]:
    """Drawings made of the season asked about last, by order and content of the one before."""
    return {}
