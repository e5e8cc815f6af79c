"""Ways in: a secret token for a session, or for one proof and the one who is to answer it.

Only a token's hash is kept. A link's signing key is kept encrypted under the token itself.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa

from livery.errors import Fault, InputError
from livery.records import tables
from livery.records.book import State, say_linked
from livery.records.canonical import sha256
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed
from livery.records.people import Office, Person, find_person, unlock_key
from livery.records.store import Store

SESSION_LASTS = timedelta(hours=12)  # a working day; workshop choice

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


@dataclass(frozen=True, slots=True)
class Link:
    """A way in for one person to one revision of one proof, until it expires."""

    proof: str
    content: str
    person: str
    expires: str


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


def _way_in(token: str, now: datetime) -> dict[str, str]:
    return {"token": _hidden(token), "now": now.isoformat()}


def _hidden(token: str) -> str:
    return sha256(token.encode("utf-8"))


def _refusal(place: str, found: str, mend: str) -> InputError:
    return InputError(Fault("records", place, None, found, mend))
