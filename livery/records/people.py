"""People: who may do what, how they prove it, and the keys they sign with.

A person's secret key is kept encrypted under their password (or, for a link, under the link
itself): the store alone cannot sign for anyone.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cache
from threading import BoundedSemaphore

import sqlalchemy as sa
from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from livery.errors import Fault, InputError
from livery.records import tables
from livery.records.book import State, say_linked
from livery.records.canonical import sha256
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed, Entry
from livery.records.store import Store

SHORTEST_PASSWORD = 10  # characters; workshop choice
SESSION_LASTS = timedelta(hours=12)  # a working day; workshop choice
_HASHING = BoundedSemaphore(2)  # at once: each takes 64 MiB while it lasts; workshop choice

_TOKEN: sa.BindParameter[str] = sa.bindparam("token")
_NOW: sa.BindParameter[str] = sa.bindparam("now")
_LINK = sa.select(tables.links).where(
    tables.links.c.token == _TOKEN, tables.links.c.expires >= _NOW
)
_SESSION = (
    sa.select(tables.accounts.c.name, tables.accounts.c.role)
    .join(tables.sessions, tables.sessions.c.account == tables.accounts.c.name)
    .where(tables.sessions.c.token == _TOKEN, tables.sessions.c.expires >= _NOW)
)
_ANYONE = sa.select(tables.accounts.c.name).limit(1)


class Office(StrEnum):
    """What a person may do: one office each."""

    DESIGNER = "designer"
    BENCH = "bench"
    SIGNER = "signer"


@dataclass(frozen=True, slots=True)
class Person:
    """Someone with an account."""

    name: str
    office: Office


@dataclass(frozen=True, slots=True)
class Link:
    """A way in for one person to one revision of one proof, until it expires."""

    proof: str
    content: str
    person: str
    expires: str


def begin(store: Store, name: str, password: str, date: str) -> Entry:
    """Begin a season's records: the maker's account, key and first ledger entry.

    Raises:
        InputError: the ledger was begun already, or the password is too short.
    """
    if store.entries():
        raise _refusal(name, "the records were begun already", "Add people instead")
    key = _add_account(store, name, Office.DESIGNER, password)
    return store.enter(
        Deed(Act.TRUST, name, 0, key.public.hex, name, date, str(Office.DESIGNER)), key
    )


def add_person(
    store: Store, maker: tuple[str, str], name: str, office: Office, password: str, date: str
) -> Entry:
    """Add an account and have the maker trust its key.

    Args:
        store: where.
        maker: name and password of the maker, who signs the trust.
        name: of the new person.
        office: what they may do.
        password: theirs.
        date: ISO 8601.

    Raises:
        InputError: the maker's password is wrong, the name is taken, or the password too short.
    """
    maker_key = unlock_key(store, *maker)
    key = _add_account(store, name, office, password)
    deed = Deed(Act.TRUST, name, 0, key.public.hex, maker[0], date, str(office))
    return store.enter(deed, maker_key)


def find_person(store: Store, name: str) -> Person | None:
    """The person of that name."""
    with store.engine.connect() as connection:
        office = connection.scalar(
            sa.select(tables.accounts.c.role).where(tables.accounts.c.name == name)
        )
    return None if office is None else Person(name, Office(office))


def has_people(store: Store) -> bool:
    """Whether anyone has an account."""
    with store.engine.connect() as connection:
        return connection.scalar(_ANYONE) is not None


def check_password(store: Store, name: str, password: str) -> Person | None:
    """The person, if the password is theirs; takes as long when the name is unknown."""
    with store.engine.connect() as connection:
        row = connection.execute(
            sa.select(tables.accounts.c.password, tables.accounts.c.role).where(
                tables.accounts.c.name == name
            )
        ).first()
    try:
        with _HASHING:
            PasswordHasher().verify(row.password if row else _decoy(), password)
    except (Argon2Error, InvalidHashError):
        return None
    return Person(name, Office(row.role)) if row else None


def unlock_key(store: Store, name: str, password: str) -> SecretKey:
    """A person's signing key.

    Raises:
        InputError: name or password is wrong.
    """
    if check_password(store, name, password) is None:
        raise _refusal(name, "name or password is wrong", "Try again")
    with store.engine.connect() as connection:
        pem = connection.scalar(
            sa.select(tables.accounts.c.key).where(tables.accounts.c.name == name)
        )
    return SecretKey.from_pem(str(pem).encode("ascii"), password)


def open_session(store: Store, person: Person, now: datetime) -> str:
    """Start a session; returns its secret token, of which only the hash is kept."""
    token = secrets.token_urlsafe(32)
    row = {
        "token": _hidden(token),
        "account": person.name,
        "expires": (now + SESSION_LASTS).isoformat(),
    }
    with store.writing() as connection:
        expired = tables.sessions.c.expires < now.isoformat()
        connection.execute(tables.sessions.delete().where(expired))
        connection.execute(tables.sessions.insert().values(**row))
    return token


def find_session(store: Store, token: str, now: datetime) -> Person | None:
    """Whose session a token opens, if it has not expired."""
    with store.engine.connect() as connection:
        row = connection.execute(_SESSION, _way_in(token, now)).first()
    return None if row is None else Person(row.name, Office(row.role))


def close_session(store: Store, token: str) -> None:
    """End a session."""
    with store.writing() as connection:
        connection.execute(
            tables.sessions.delete().where(tables.sessions.c.token == _hidden(token))
        )


def make_link(
    store: Store, maker: tuple[str, str], proof: str, person: str, now: datetime, lasts: timedelta
) -> str:
    """A link for one person to answer the revision offered now; returns its secret token.

    The link carries a key of its own, which the maker trusts for that person and that proof
    alone; it takes the place of an earlier link's to the same proof.

    Raises:
        InputError: nothing is offered, the person has an account, or the password is wrong.
    """
    latest = store.book().latest(proof)
    if latest is None or latest.state is not State.OFFERED:
        raise _refusal(proof, "no revision of it waits for an answer", "Offer it first")
    if latest.asked not in ("", person):
        raise _refusal(person, f"the proof is for {latest.asked} to answer", "Send it to them")
    if find_person(store, person) is not None:
        raise _refusal(person, "has an account", "Let them sign in instead")
    maker_key = unlock_key(store, *maker)
    token, key = secrets.token_urlsafe(32), SecretKey.generate()
    date = now.date().isoformat()
    reason = say_linked(Office.SIGNER, proof)
    store.enter(Deed(Act.TRUST, person, 0, key.public.hex, maker[0], date, reason), maker_key)
    row = {
        "token": _hidden(token),
        "proof": proof,
        "content": latest.content,
        "person": person,
        "expires": (now + lasts).isoformat(),
        "key": key.to_pem(token).decode("ascii"),
    }
    with store.writing() as connection:
        connection.execute(tables.links.insert().values(**row))
    return token


def open_link(store: Store, token: str, now: datetime) -> tuple[Link, SecretKey] | None:
    """What a link opens and the key it signs with; None when forged or expired."""
    with store.engine.connect() as connection:
        row = connection.execute(_LINK, _way_in(token, now)).first()
    if row is None:
        return None
    key = SecretKey.from_pem(row.key.encode("ascii"), token)
    return Link(row.proof, row.content, row.person, row.expires), key


def _add_account(store: Store, name: str, office: Office, password: str) -> SecretKey:
    if not name.strip() or len(name) > 200:
        raise _refusal(name[:80], "not a name", "Give 1 to 200 characters")
    if len(password) < SHORTEST_PASSWORD:
        raise _refusal(
            name, "the password is too short", f"Use at least {SHORTEST_PASSWORD} characters"
        )
    key = SecretKey.generate()
    row = {
        "name": name,
        "role": str(office),
        "password": PasswordHasher().hash(password),
        "key": key.to_pem(password).decode("ascii"),
    }
    # An account without a trusted key is one whose making was cut short: it is made again.
    unfinished = store.book().key_of(name) is None
    try:
        with store.writing() as connection:
            if unfinished:
                connection.execute(
                    tables.sessions.delete().where(tables.sessions.c.account == name)
                )
                connection.execute(tables.accounts.delete().where(tables.accounts.c.name == name))
            connection.execute(tables.accounts.insert().values(**row))
    except sa.exc.IntegrityError as error:
        raise _refusal(name, "the name is taken", "Choose another") from error
    return key


def _way_in(token: str, now: datetime) -> dict[str, str]:
    return {"token": _hidden(token), "now": now.isoformat()}


def _hidden(token: str) -> str:
    return sha256(token.encode("utf-8"))


@cache
def _decoy() -> str:
    """What an unknown name's password is checked against, so that names cannot be timed."""
    return PasswordHasher().hash(secrets.token_urlsafe(16))


def _refusal(place: str, found: str, mend: str) -> InputError:
    return InputError(Fault("records", place, None, found, mend))
