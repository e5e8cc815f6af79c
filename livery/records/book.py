"""What a ledger says: whose keys are trusted, and where each proof stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from livery.records.ledger import Act, Deed, Entry, Trouble

_LINKED = " of "  # between an office and the proof that a link's key may answer


class State(StrEnum):
    """Where a revision of a proof stands."""

    DRAFTED = "drafted"
    OFFERED = "offered"
    AGREED = "agreed"
    DECLINED = "declined"
    OVERTAKEN = "overtaken"


@dataclass(frozen=True, slots=True)
class Standing:
    """One revision of one proof, and where it stands.

    Attributes:
        content: SHA-256 of the content offered.
        by, date, reason: of the last act on it; an offer's reason names who is asked.
        asked: who alone may answer it; "" for anyone trusted.
    """

    proof: str
    revision: int
    content: str
    state: State
    by: str
    date: str
    reason: str
    asked: str = ""


@dataclass(frozen=True, slots=True)
class Book:
    """A ledger as read so far.

    Attributes:
        keys: (person, public key) pairs trusted. The first TRUST trusts its own key: that person
            is the maker, and only the maker's key may trust others or close their accounts.
        standings: every revision ever offered, oldest first.
        offices: (person, office) pairs as stated when the person was trusted.
        links: ((person, proof), public key) pairs: what a link may answer, and nothing else.
    """

    keys: tuple[tuple[str, str], ...] = ()
    standings: tuple[Standing, ...] = ()
    offices: tuple[tuple[str, str], ...] = ()
    links: tuple[tuple[tuple[str, str], str], ...] = ()

    @property
    def maker(self) -> str:
        """Who began the ledger; "" when it is empty."""
        return self.keys[0][0] if self.keys else ""

    def key_of(self, person: str) -> str | None:
        """The public key trusted for a person now."""
        return dict(self.keys).get(person)

    def latest(self, proof: str) -> Standing | None:
        """The newest revision offered of a proof."""
        return next((one for one in reversed(self.standings) if one.proof == proof), None)

    def objection(self, deed: Deed, key: str) -> str | None:
        """Why a deed signed with ``key`` may not be entered, or None."""
        if deed.act is Act.TRUST:
            return self._objection_to_trust(deed, key)
        if deed.act is Act.CLOSE:
            return self._objection_to_closing(deed, key)
        by_link = deed.act is not Act.OFFER and key == dict(self.links).get((deed.by, deed.proof))
        if self.key_of(deed.by) != key and not by_link:
            return f"{deed.by} is not trusted with this key"
        if deed.act is Act.OFFER:
            return self._objection_to_offer(deed)
        return self._objection_to_answer(deed)

    def after(self, entry: Entry) -> Book:
        """The book with one more entry read."""
        if entry.act is Act.TRUST:
            return self._after_trust(entry)
        if entry.act is Act.CLOSE:
            return self._after_closing(entry.proof)
        if entry.act is Act.OFFER:
            overtaken = (_overtaken(s) if s.proof == entry.proof else s for s in self.standings)
            return replace(self, standings=(*overtaken, _offered(entry)))
        latest = self.latest(entry.proof)
        changed_standings = tuple(_answered(s, entry) if s is latest else s for s in self.standings)
        return replace(self, standings=changed_standings)

    def _after_trust(self, entry: Entry) -> Book:
        """A newer key takes the older one's place: of the person, or of their link to one proof."""
        person, key = entry.proof, entry.content
        office, _, proof = entry.reason.partition(_LINKED)
        if proof:
            links = {**dict(self.links), (person, proof): key}
            return replace(self, links=tuple(links.items()))
        keys = {**dict(self.keys), person: key}
        offices = {**dict(self.offices), person: office}
        return replace(self, keys=tuple(keys.items()), offices=tuple(offices.items()))

    def _after_closing(self, person: str) -> Book:
        return replace(
            self,
            keys=tuple(pair for pair in self.keys if pair[0] != person),
            offices=tuple(pair for pair in self.offices if pair[0] != person),
            links=tuple(pair for pair in self.links if pair[0][0] != person),
        )

    def _objection_to_trust(self, deed: Deed, key: str) -> str | None:
        if not self.keys:
            own = deed.by == deed.proof and deed.content == key
            return None if own else "the first entry must trust its own author's key"
        if (deed.by, key) != self.keys[0]:
            return f"only {self.maker}, who began the ledger, may trust a key"
        return None

    def _objection_to_closing(self, deed: Deed, key: str) -> str | None:
        if not self.keys or (deed.by, key) != self.keys[0]:
            return "only the one who began the ledger may close an account"
        if deed.proof == self.maker:
            return f"{self.maker} began the ledger, which nobody else could go on with"
        if self.key_of(deed.proof) != deed.content:
            return f"{deed.proof} has no account with this key"
        return None

    def _objection_to_offer(self, deed: Deed) -> str | None:
        office = dict(self.offices).get(deed.by, "")
        if deed.by != self.maker and office not in ("", "designer"):
            return f"{deed.by} may not offer a proof"
        latest = self.latest(deed.proof)
        if latest is not None and deed.revision <= latest.revision:
            return f"revision {latest.revision} was offered already; offer a later one"
        return None

    def _objection_to_answer(self, deed: Deed) -> str | None:
        latest = self.latest(deed.proof)
        if latest is None:
            return "it was never offered"
        if latest.state is not State.OFFERED:
            return f"revision {latest.revision} is {latest.state} already"
        if (deed.revision, deed.content) != (latest.revision, latest.content):
            return "what was shown is not what is offered now"
        if latest.asked not in ("", deed.by):
            return f"it is for {latest.asked} to answer"
        if deed.act is Act.DECLINE and not deed.reason.strip():
            return "declining needs a reason"
        return None


def say_linked(office: str, proof: str) -> str:
    """The reason of a TRUST whose key may answer one proof alone."""
    return f"{office}{_LINKED}{proof}"


def read_book(entries: Sequence[Entry]) -> tuple[Book, tuple[Trouble, ...]]:
    """Read a ledger through, with every act that was out of turn."""
    book, troubles = Book(), []
    for entry in entries:
        if objection := book.objection(entry.deed, entry.key):
            troubles.append(Trouble(entry.number, objection))
        book = book.after(entry)
    return book, tuple(troubles)


def _offered(entry: Entry) -> Standing:
    return Standing(
        proof=entry.proof,
        revision=entry.revision,
        content=entry.content,
        state=State.OFFERED,
        by=entry.by,
        date=entry.date,
        reason=entry.reason,
        asked=entry.reason,
    )


def _answered(standing: Standing, entry: Entry) -> Standing:
    state = State.AGREED if entry.act is Act.AGREE else State.DECLINED
    return replace(standing, state=state, by=entry.by, date=entry.date, reason=entry.reason)


def _overtaken(standing: Standing) -> Standing:
    return replace(standing, state=State.OVERTAKEN)
