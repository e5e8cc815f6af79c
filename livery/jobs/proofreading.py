"""A proof looked at: its pages, what it states, its revisions, and what changed between two."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from urllib.parse import quote

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
from livery.proof import Change, Proof, find_changes, proof_drawing
from livery.records.book import Standing
from livery.records.ledger import Act
from livery.records.papers import Papers, find_papers
from livery.records.store import Store
from livery.scheme.model import Order


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
        choices: (content, name) of everything that can be compared.
    """

    before: Side
    after: Side
    changes: tuple[Change, ...]
    choices: tuple[tuple[str, str], ...]


def view_proof(found: Survey, store: Store, order: Order) -> ProofView:
    """Everything a page about a proof shows."""
    proof = proof_of(found, order)
    earlier = find_previous(store, proof)
    return ProofView(
        quote(order.key, safe=""),
        find_status(found, store, order),
        _count_pages(found, store, order, proof),
        proof.facts,
        list_standings(found, store, order),
        find_changes(earlier, proof) if earlier is not None else (),
    )


def draw_page(found: Survey, order: Order, number: int) -> str:
    """One page of a proof as the season gives it now, as SVG; pages count from 1."""
    drawing = proof_drawing(found.scheme, order, found.of_order(order))
    return render_svg(drawing, number - 1)


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
    proofs = [now if c == now.content_hash else _read(kept[c], order) for c in (before, after)]
    sides = [
        Side(names[proof.content_hash], proof.content_hash, _pages(found, order, kept, proof))
        for proof in proofs
    ]
    return Compared(sides[0], sides[1], find_changes(proofs[0], proofs[1]), tuple(choices))


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


def _read(papers: Papers, order: Order) -> Proof:
    return papers_as_proof(papers, order.player)


def _pages(found: Survey, order: Order, kept: dict[str, Papers], proof: Proof) -> int:
    if proof.content_hash in kept:
        return len(kept[proof.content_hash].pages)
    return len(proof_drawing(found.scheme, order, found.of_order(order)).pages)


def _count_pages(found: Survey, store: Store, order: Order, proof: Proof) -> int:
    kept = {papers.content: papers for papers in find_papers(store, order.key)}
    return _pages(found, order, kept, proof)
