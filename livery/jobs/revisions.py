"""A proof's revisions: what the season gives now, and what was offered before it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from livery.errors import Fault, InputError
from livery.jobs.season_records import open_records, records_folder
from livery.jobs.survey import Survey
from livery.proof import Proof, likenesses_from_bytes, make_proof
from livery.records.papers import Papers, find_papers
from livery.records.store import Store
from livery.scheme.model import Order


def proof_of(found: Survey, order: Order) -> Proof:
    """What the season gives an order now; worked out once while the season stays as it is."""
    known = _proofs_of(found)
    if order.key not in known:
        known[order.key] = make_proof(found.scheme, order, found.of_order(order))
    return known[order.key]


def find_earlier(store: Store, proof: Proof) -> Papers | None:
    """What was last offered before this content."""
    offered = {
        (one.revision, one.content)
        for one in store.book().standings
        if one.proof == proof.order and one.content != proof.content_hash
    }
    if not offered:
        return None
    papers = find_papers(store, proof.order)
    return next((p for p in reversed(papers) if (p.revision, p.content) in offered), None)


def earlier_proofs(found: Survey, database: str | None = None) -> dict[str, Proof]:
    """By order, the revision last offered before what the season gives now; none without records.

    Raises:
        InputError: how one looked was kept, and is missing or changed.
        OutputError: there are records, and they cannot be read.
    """
    season = found.scheme.path
    if not records_folder(season).is_dir():
        return {}
    store = open_records(season, database, reading=True)
    try:
        pairs = ((o, find_earlier(store, proof_of(found, o))) for o in found.scheme.orders)
        return {
            order.key: papers_as_proof(store, papers, order.player)
            for order, papers in pairs
            if papers is not None
        }
    finally:
        store.close()


def papers_as_proof(store: Store, papers: Papers, player: str) -> Proof:
    """What some papers state and how they looked, to compare with another revision.

    Raises:
        InputError: how it looked was kept, and is missing or changed.
    """
    kept = store.evidence.read(papers.likeness) if papers.likeness else b""
    try:
        looks = likenesses_from_bytes(kept) if kept else ()
    except ValueError as error:
        named = f"{papers.proof} revision {papers.revision}"
        found = f"how it looked cannot be read ({error})"
        fault = Fault(named, "", None, found, "Restore a backup")
        raise InputError(fault) from error
    return replace(stated_by(papers, player), likenesses=looks)


def stated_by(papers: Papers, player: str) -> Proof:
    """What some papers state."""
    return Proof(papers.proof, player, papers.revision, papers.content, papers.facts)


@lru_cache(maxsize=1)
def _proofs_of(found: Survey) -> dict[str, Proof]:
    """Proofs worked out of the season asked about last, by order."""
    return {}
