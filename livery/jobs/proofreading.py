"""A proof looked at: its pages, what it states, its revisions, and what changed between two."""

from __future__ import annotations

from dataclasses import dataclass

from livery.errors import Fault, InputError
from livery.jobs.drawing_tasks import Pages
from livery.jobs.drawings import Drawings
from livery.jobs.revisions import find_earlier, proof_of, stated_by
from livery.jobs.signing import ProofStatus, find_status, list_standings, receipt_of
from livery.jobs.survey import Survey
from livery.proof import Change, find_changes
from livery.records.book import Standing
from livery.records.ledger import Act
from livery.records.papers import Papers, find_papers
from livery.records.store import Store
from livery.scheme.model import Order


@dataclass(frozen=True, slots=True)
class ProofView:
    """A proof as it is now.

    Attributes:
        pages: how many it has.
        facts: (subject, statement) pairs it makes, for those who cannot see the pages.
        standings: every revision offered, oldest first.
        changes: from the revision offered before.
    """

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


def view_proof(found: Survey, store: Store, order: Order, drawings: Drawings) -> ProofView:
    """Everything a page about a proof shows."""
    proof = proof_of(found, order)
    earlier = find_earlier(store, proof)
    changes = () if earlier is None else find_changes(stated_by(earlier, proof.player), proof)
    kept = {papers.content: papers for papers in find_papers(store, order.key)}
    return ProofView(
        find_status(found, store, order),
        _count_pages(found, order, drawings, kept.get(proof.content_hash)),
        proof.facts,
        list_standings(found, store, order),
        changes,
    )


def find_page(
    found: Survey, store: Store, order: Order, drawings: Drawings, content: str, number: int
) -> bytes | None:
    """A page of what was offered with this content or is it now, as compressed SVG; from 1 on."""
    for papers in find_papers(store, order.key)[::-1]:
        if papers.content == content and 1 <= number <= len(papers.pages):
            return store.evidence.read(papers.pages[number - 1])
    if content != proof_of(found, order).content_hash:
        return None
    pages = drawings.proof(found, order)
    return pages[number - 1] if 1 <= number <= len(pages) else None


def compare_revisions(
    found: Survey,
    store: Store,
    order: Order,
    drawings: Drawings,
    contents: tuple[str, str] = ("", ""),
) -> tuple[Compared, Pages]:
    """What differs between two revisions, and pictures of it as compressed SVG.

    Args:
        found: the season.
        store: its records.
        order: whose proof.
        drawings: draw the pictures.
        contents: of the revision before and after; "" takes the last offered, and what is now.

    Raises:
        InputError: no such content was ever offered.
    """
    now = proof_of(found, order)
    kept = {papers.content: papers for papers in find_papers(store, order.key)}
    names = {c: f"revision {p.revision}, {c[:8]}" for c, p in kept.items()}
    names.setdefault(now.content_hash, f"now, {now.content_hash[:8]}")
    after = contents[1] or now.content_hash
    others = [content for content in names if content != after]
    before = contents[0] or (others[-1] if others else after)
    for content in (before, after):
        if content not in names:
            fault = Fault("revision", content[:12], None, "it was never offered", "Choose another")
            raise InputError(fault)
    papers = [kept.get(content) for content in (before, after)]
    first, second = (now if one is None else stated_by(one, order.player) for one in papers)
    sides = [
        Side(names[content], content, _count_pages(found, order, drawings, one))
        for content, one in zip((before, after), papers, strict=True)
    ]
    drawn = drawings.changes(found, order, *papers)
    choices = tuple(names.items())
    return Compared(sides[0], sides[1], find_changes(first, second), len(drawn), choices), drawn


def _count_pages(found: Survey, order: Order, drawings: Drawings, papers: Papers | None) -> int:
    """How many pages a revision has: as it was kept, or as it is drawn now."""
    return len(papers.pages if papers is not None else drawings.proof(found, order))


def receipt_text(store: Store, order: Order) -> str | None:
    """The newest answer to a proof as a receipt; None when there is none."""
    answers = [
        entry
        for entry in store.entries()
        if entry.proof == order.key and entry.act in (Act.AGREE, Act.DECLINE)
    ]
    return receipt_of(answers[-1]) if answers else None
