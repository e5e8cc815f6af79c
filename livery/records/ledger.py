"""The ledger: who agreed to what, as a hash chain of signed entries.

Each entry names the hash of the one before it, and is signed by its author's key. Changing,
removing, reordering or inserting an entry breaks the chain at that place; cutting the tail off
is found against a head kept elsewhere (``Head``) or against a receipt handed out.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from enum import StrEnum

from livery.records.canonical import canonical, sha256
from livery.records.keys import PublicKey, SecretKey, is_signed_by

GENESIS = "0" * 64


class Act(StrEnum):
    """What an entry says was done."""

    TRUST = "trust"  # a person's public key is entered
    CLOSE = "close"  # a person's key signs nothing more; what it signed stands
    OFFER = "offer"  # a revision is shown to its signer
    AGREE = "agree"
    DECLINE = "decline"


@dataclass(frozen=True, slots=True)
class Deed:
    """What someone wants entered, before it has a place in the chain."""

    act: Act
    proof: str
    revision: int
    content: str
    by: str
    date: str
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the ledger.

    Attributes:
        number: 1, 2, 3...
        before: hash of the entry before, or GENESIS.
        proof: what it concerns: the order's key; for TRUST and CLOSE, the person.
        content: SHA-256 of the content shown; for TRUST and CLOSE, the person's public key.
        by: who acts.
        date: ISO 8601, as the one who acts states it.
        reason: with DECLINE, why; with OFFER, who is asked to answer it, or empty for anyone
            trusted; with TRUST, the person's office, and the one proof that a link's key may answer
            (``say_linked``); otherwise empty.
        key: public key that signed, hexadecimal.
        signature: over everything above, hexadecimal.
    """

    number: int
    before: str
    act: Act
    proof: str
    revision: int
    content: str
    by: str
    date: str
    reason: str
    key: str
    signature: str

    @property
    def hash(self) -> str:
        """SHA-256 of the whole entry, signature included."""
        return sha256(canonical(asdict(self)))

    @property
    def deed(self) -> Deed:
        """What was done, without its place in the chain."""
        return Deed(**{name: getattr(self, name) for name in Deed.__slots__})

    @property
    def signed_bytes(self) -> bytes:
        """What the signature covers."""
        record = asdict(self)
        del record["signature"]
        return canonical(record)

    def to_json(self) -> str:
        """The entry as one line of JSON."""
        return canonical(asdict(self)).decode("utf-8")


@dataclass(frozen=True, slots=True)
class Head:
    """How long the ledger was, and how it ended, when last seen."""

    number: int
    hash: str


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing wrong with a ledger: at which entry, and what."""

    number: int
    text: str


def entry_from_json(text: str) -> Entry:
    """Read an entry.

    Raises:
        ValueError: not an entry: fields missing, unknown, or of the wrong kind.
    """
    try:
        record = json.loads(text)
    except RecursionError as error:
        raise ValueError("it is nested too deeply") from error
    if not isinstance(record, dict) or set(record) != set(Entry.__slots__):
        raise ValueError("not a ledger entry")
    for name, value in record.items():
        if type(value) is not (int if name in ("number", "revision") else str):
            raise ValueError(f"{name} is {value!r}")
    return Entry(**{**record, "act": Act(record["act"])})


def sign_entry(deed: Deed, head: Head, key: SecretKey) -> Entry:
    """Give a deed its place after ``head`` and sign it."""
    number, before = head.number + 1, head.hash
    body = Entry(number=number, before=before, key=key.public.hex, signature="", **asdict(deed))
    return replace(body, signature=key.sign(body.signed_bytes))


def head_of(entries: Sequence[Entry]) -> Head:
    """The ledger's head; number 0 when empty."""
    return Head(entries[-1].number, entries[-1].hash) if entries else Head(0, GENESIS)


def find_troubles(
    entries: Sequence[Entry], seen: Head | None = None, receipts: Sequence[Entry] = ()
) -> tuple[Trouble, ...]:
    """Everything wrong with a ledger's chain and signatures; empty when they stand.

    Args:
        entries: the ledger in stored order.
        seen: head kept elsewhere, if any: finds a tail cut off.
        receipts: entries handed out earlier: each must still be there, unchanged.
    """
    troubles = [*_chain_troubles(entries), *_signature_troubles(entries)]
    by_number = {entry.number: entry for entry in entries}
    if seen is not None and seen.number > 0:
        troubles += _missing(by_number.get(seen.number), seen.number, seen.hash, "the kept head")
    for receipt in receipts:
        found = by_number.get(receipt.number)
        troubles += _missing(found, receipt.number, receipt.hash, "a receipt")
    return tuple(sorted(troubles, key=lambda trouble: (trouble.number, trouble.text)))


def _missing(found: Entry | None, number: int, wanted: str, witness: str) -> list[Trouble]:
    if found is None:
        return [Trouble(number, f"cut off: {witness} has entry {number}, the ledger has not")]
    if found.hash != wanted:
        return [Trouble(number, f"changed: {witness} has another entry {number}")]
    return []


def _chain_troubles(entries: Sequence[Entry]) -> list[Trouble]:
    troubles = []
    before, expected = GENESIS, 1
    for entry in entries:
        if entry.number != expected:
            troubles.append(
                Trouble(
                    expected,
                    f"entry {expected} expected, {entry.number} found: "
                    "removed, inserted or reordered",
                )
            )
        if entry.before != before:
            troubles.append(
                Trouble(
                    entry.number,
                    "does not follow the entry before it: "
                    "one of the two was changed, removed or reordered",
                )
            )
        before, expected = entry.hash, entry.number + 1
    return troubles


def _signature_troubles(entries: Sequence[Entry]) -> list[Trouble]:
    return [
        Trouble(entry.number, "its signature does not fit: the entry was changed")
        for entry in entries
        if not is_signed_by(PublicKey(entry.key), entry.signed_bytes, entry.signature)
    ]
