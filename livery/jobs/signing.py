"""Sign-off: a proof is offered to one person, who agrees or declines what was shown."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from livery.crew.hands import Hands
from livery.errors import Fault, InputError, SeasonError
from livery.jobs.drawing_tasks import draw_papers, given_for
from livery.jobs.revisions import find_earlier, papers_as_proof, proof_of
from livery.jobs.season_records import open_records
from livery.jobs.survey import Survey
from livery.limits import Severity
from livery.proof import Proof
from livery.records.book import Standing, State
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed, Entry
from livery.records.papers import keep_papers
from livery.records.passes import make_link
from livery.records.people import Office, add_person, begin, close_account, unlock_key
from livery.records.store import Store
from livery.scheme.model import Order
from livery.writing import write_whole

LINK_LASTS_DAYS = 14  # workshop choice


@dataclass(frozen=True, slots=True)
class ProofStatus:
    """Where one order's proof stands.

    Attributes:
        revision: the season's now.
        content: SHA-256 of what the season gives now.
        state: of that content. What was offered before and differs from it is overtaken.
        offered_revision: newest revision offered, 0 when none was.
        by, date, reason: of the last act on that revision.
        asked: who was asked to answer it.
    """

    order: str
    player: str
    revision: int
    content: str
    state: State
    offered_revision: int = 0
    by: str = ""
    date: str = ""
    reason: str = ""
    asked: str = ""


def begin_signing(season: Path, name: str, password: str, date: str, database: str | None) -> Entry:
    """Begin a season's ledger under its maker's key.

    Raises:
        InputError: it was begun already, or the passphrase is too short.
    """
    store = open_records(season, database, make=True)
    try:
        return begin(store, name, password, date)
    finally:
        store.close()


def add_signer(
    store: Store, maker_password: str, name: str, office: Office, password: str, date: str
) -> Entry:
    """Add a person, trusted by the maker.

    Raises:
        InputError: nobody began the ledger, a passphrase is wrong, or the name is taken.
    """
    return add_person(store, (maker_of(store), maker_password), name, office, password, date)


def close_signer(store: Store, maker_password: str, name: str, date: str) -> Entry:
    """Close a person's account; what they signed stands.

    Raises:
        InputError: nobody began the ledger, the passphrase is wrong, or there is no such account.
    """
    return close_account(store, (maker_of(store), maker_password), name, date)


def maker_of(store: Store) -> str:
    """Who began the ledger.

    Raises:
        InputError: nobody did.
    """
    maker = store.book().maker
    if not maker:
        raise _refusal("ledger", "nobody began it", "Run livery sign begin")
    return maker


def find_order(found: Survey, key: str) -> Order:
    """The order of that key.

    Raises:
        SeasonError: the season has none.
    """
    order = found.scheme.order(key)
    if order is not None:
        return order
    known = ", ".join(order.key for order in found.scheme.orders)
    mend = f"Choose of {known}" if known else "The season has none: add [[orders]]"
    place = str(found.scheme.path)
    raise SeasonError(Fault(place, "orders", None, f"no order has the key {key[:80]!r}", mend))


def list_statuses(found: Survey, store: Store) -> tuple[ProofStatus, ...]:
    """Where every order's proof stands, in the season's order."""
    latest = {standing.proof: standing for standing in store.book().standings}
    return tuple(
        _status(proof_of(found, order), latest.get(order.key)) for order in found.scheme.orders
    )


def find_status(found: Survey, store: Store, order: Order) -> ProofStatus:
    """Where one order's proof stands."""
    return _status(proof_of(found, order), store.book().latest(order.key))


def list_standings(found: Survey, store: Store, order: Order) -> tuple[Standing, ...]:
    """Every revision offered of an order, as the season's content now leaves it."""
    content = proof_of(found, order).content_hash
    return tuple(
        one if one.content == content else replace(one, state=State.OVERTAKEN)
        for one in store.book().standings
        if one.proof == order.key
    )


def offer_proof(
    found: Survey,
    store: Store,
    order: Order,
    who: tuple[str, str],
    asked: str,
    date: str,
    hands: Hands | None = None,
) -> Entry:
    """Keep a proof's papers and offer it to the one who is to answer.

    Args:
        found: the season.
        store: its records.
        order: whose proof.
        who: name and passphrase of the designer who offers.
        asked: who is to answer; "" asks the player.
        date: ISO 8601.
        hands: who draws; this process unless given.

    Raises:
        InputError: a limit is broken, or the offer is out of turn.
    """
    key = unlock_key(store, *who)
    _insist_on_limits(found, order)
    proof = proof_of(found, order)
    papers = find_earlier(store, proof)
    earlier = None if papers is None else papers_as_proof(store, papers, order.player)
    deed = Deed(
        Act.OFFER,
        order.key,
        proof.revision,
        proof.content_hash,
        who[0],
        date,
        asked.strip() or order.player,
    )
    if objection := store.book().objection(deed, key.public.hex):
        raise _refusal(order.key, objection, _mend(objection))
    drawn = (hands or Hands(1)).do(draw_papers, *given_for(found, order, earlier))
    named = (order.key, proof.revision, proof.content_hash)
    keep_papers(store, named, drawn.pdf, drawn.pages, proof.facts, drawn.likeness)
    return store.enter(deed, key)


def answer_proof(
    found: Survey,
    store: Store,
    order: Order,
    shown: str,
    who: tuple[str, SecretKey],
    date: str,
    declined_because: str | None = None,
) -> Entry:
    """Agree to what was shown, or decline it with a reason.

    Args:
        found: the season.
        store: its records.
        order: whose proof.
        shown: SHA-256 of the content that was shown, whole.
        who: name and key of the one who answers.
        date: ISO 8601.
        declined_because: None agrees.

    Raises:
        InputError: it was overtaken, was not offered to this person, or a reason is missing.
    """
    proof = proof_of(found, order)
    shown = "".join(shown.split()).lower()
    if len(shown) < len(proof.content_hash) and proof.content_hash.startswith(shown):
        found_words = "this is only the beginning of what the proof shows"
        mend = "Give all 64 digits, from the line under its signature; nothing was signed"
        raise _refusal(order.key, found_words, mend)
    if shown != proof.content_hash:
        found_words = "what was shown is not what the season gives now: it is overtaken"
        raise _refusal(order.key, found_words, "Ask for a new proof; nothing was signed")
    latest = store.book().latest(order.key)
    revision = latest.revision if latest is not None else proof.revision
    act = Act.AGREE if declined_because is None else Act.DECLINE
    reason = (declined_because or "").strip()
    return store.enter(Deed(act, order.key, revision, shown, who[0], date, reason), who[1])


def link_proof(
    found: Survey, store: Store, order: Order, maker_password: str, now: datetime, days: float
) -> tuple[str, str]:
    """A secret for one person to answer one proof until it expires; returns it and who it is for.

    Raises:
        InputError: nothing of this content is offered, or the passphrase is wrong.
    """
    status = find_status(found, store, order)
    if status.state is not State.OFFERED:
        raise _refusal(order.key, f"it is {status.state}, not offered", "Offer it first")
    if not 0 < days <= 366:
        raise _refusal("days", f"{days:g} days", "Give more than 0 and at most 366")
    person = status.asked or order.player
    maker = (maker_of(store), maker_password)
    return make_link(store, maker, order.key, person, now, timedelta(days=days)), person


def write_receipt(entry: Entry, path: Path) -> None:
    """Write a ledger entry as a file of its own, to be kept elsewhere as a witness.

    Raises:
        OutputError: it cannot be written.
    """
    write_whole(path, receipt_of(entry))


def receipt_of(entry: Entry) -> str:
    """A ledger entry as a receipt's text."""
    return json.dumps(asdict(entry), ensure_ascii=False, indent=1) + "\n"


def _status(proof: Proof, latest: Standing | None) -> ProofStatus:
    state = State.DRAFTED
    if latest is None:
        return ProofStatus(proof.order, proof.player, proof.revision, proof.content_hash, state)
    if latest.content == proof.content_hash:
        state = latest.state
    elif latest.revision >= proof.revision:
        state = State.OVERTAKEN  # by a change that no revision number owns up to
    return ProofStatus(
        proof.order,
        proof.player,
        proof.revision,
        proof.content_hash,
        state,
        latest.revision,
        latest.by,
        latest.date,
        latest.reason,
        latest.asked,
    )


def _insist_on_limits(found: Survey, order: Order) -> None:
    broken = [
        finding
        for layout in found.of_order(order)
        for finding in layout.findings
        if not finding.ok and finding.severity is Severity.LIMIT
    ]
    if broken:
        raise InputError(
            *(Fault(str(found.scheme.path), f.subject, None, f.text, "Mend it") for f in broken)
        )


def _mend(objection: str) -> str:
    if "later one" in objection:
        return "Raise revision in the season"
    return "Nothing was offered"


def _refusal(place: str, found: str, mend: str) -> InputError:
    return InputError(Fault("records", place, None, found, mend))
