"""People: who may do what, how they prove it, and the keys they sign with.

A person's secret key is kept encrypted under their password: the store alone cannot sign for
anyone.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from threading import BoundedSemaphore

import sqlalchemy as sa
from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError
from sqlalchemy.engine import Connection

from livery.errors import Fault, InputError, visible
from livery.records import tables
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed, Entry
from livery.records.store import Store

SHORTEST_PASSWORD = 10  # characters; workshop choice
_HASHING = BoundedSemaphore(2)  # at once: each takes 64 MiB while it lasts; workshop choice

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


def begin(store: Store, name: str, password: str, date: str) -> Entry:
    """Begin a season's records: the maker's account, key and first ledger entry.

    Raises:
        InputError: the ledger was begun already, or the passphrase is too short.
    """
    check_unbegun(store, name)
    key = _add_account(store, name, Office.DESIGNER, password)
    return store.enter(
        Deed(Act.TRUST, name, 0, key.public.hex, name, date, str(Office.DESIGNER)), key
    )


def check_unbegun(store: Store, name: str) -> None:
    """Insist that nobody began the ledger.

    Raises:
        InputError: somebody did.
    """
    if store.entries():
        raise _refusal(name, "the records were begun already", "Add people instead")


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


def change_password(store: Store, name: str, old: str, new: str) -> None:
    """Lock a person's key with another password, and end all their sessions.

    The key stays the same, so that nothing need be trusted anew; a copy of the records made
    earlier still opens with the old password.

    Raises:
        InputError: name or old password is wrong, or the new one is too short.
    """
    key = unlock_key(store, name, old)
    locked = _lock(key, name, new)
    with store.writing() as connection:
        own = tables.accounts.c.name == name
        connection.execute(tables.accounts.update().where(own).values(**locked))
        _end_sessions(connection, name)


def close_account(store: Store, maker: tuple[str, str], name: str, date: str) -> Entry:
    """Close a person's account: they come in and sign no more, and what they signed stands.

    Closing what was cut short while it was being closed finishes it.

    Args:
        store: where.
        maker: name and password of the maker, who signs the closing.
        name: whose account.
        date: ISO 8601.

    Raises:
        InputError: the maker's password is wrong, or there is no such account to close.
    """
    maker_key = unlock_key(store, *maker)
    book = store.book()
    if book.key_of(name) is None:
        known = ", ".join(person for person, _ in book.keys if person != book.maker)
        raise _refusal(name[:80], "has no account", f"Choose of {known or 'nobody'}")
    deed = Deed(Act.CLOSE, name, 0, str(book.key_of(name)), maker[0], date)
    if objection := book.objection(deed, maker_key.public.hex):
        raise _refusal(name, objection, "Close another")
    with store.writing() as connection:
        _end_sessions(connection, name)
        connection.execute(tables.links.delete().where(tables.links.c.person == name))
        connection.execute(tables.accounts.delete().where(tables.accounts.c.name == name))
    return store.enter(deed, maker_key)


def list_people(store: Store) -> tuple[Person, ...]:
    """Everyone with an account, by name."""
    query = sa.select(tables.accounts.c.name, tables.accounts.c.role)
    with store.engine.connect() as connection:
        rows = connection.execute(query.order_by(tables.accounts.c.name)).all()
    return tuple(Person(row.name, Office(row.role)) for row in rows)


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
        InputError: name or passphrase is wrong.
    """
    if check_password(store, name, password) is None:
        raise _refusal(name, "name or passphrase is wrong", "Try again")
    with store.engine.connect() as connection:
        pem = connection.scalar(
            sa.select(tables.accounts.c.key).where(tables.accounts.c.name == name)
        )
    return SecretKey.from_pem(str(pem).encode("ascii"), password)


def check_name(name: str) -> None:
    """See that an account can be called that.

    Raises:
        InputError: it cannot.
    """
    if not name.strip() or len(name) > 200 or visible(name, keep="") != name:
        raise _refusal(name[:80].strip(), "not a name", "Give 1 to 200 characters in one line")


def _add_account(store: Store, name: str, office: Office, password: str) -> SecretKey:
    check_name(name)
    key = SecretKey.generate()
    row = {"name": name, "role": str(office), **_lock(key, name, password)}
    # An account without a trusted key is one whose making was cut short: it is made again.
    unfinished = store.book().key_of(name) is None
    try:
        with store.writing() as connection:
            if unfinished:
                _end_sessions(connection, name)
                connection.execute(tables.accounts.delete().where(tables.accounts.c.name == name))
            connection.execute(tables.accounts.insert().values(**row))
    except sa.exc.IntegrityError as error:
        raise _refusal(name, "the name is taken", "Choose another") from error
    return key


def _lock(key: SecretKey, name: str, password: str) -> dict[str, str]:
    """A key and a password as an account keeps them."""
    if len(password) < SHORTEST_PASSWORD:
        mend = f"Use at least {SHORTEST_PASSWORD} characters"
        raise _refusal(name, "the passphrase is too short", mend)
    with _HASHING:
        hashed = PasswordHasher().hash(password)
    return {"password": hashed, "key": key.to_pem(password).decode("ascii")}


def _end_sessions(connection: Connection, name: str) -> None:
    connection.execute(tables.sessions.delete().where(tables.sessions.c.account == name))


@cache
def _decoy() -> str:
    """What an unknown name's password is checked against, so that names cannot be timed."""
    return PasswordHasher().hash(secrets.token_urlsafe(16))


def _refusal(place: str, found: str, mend: str) -> InputError:
    return InputError(Fault("records", place, None, found, mend))
