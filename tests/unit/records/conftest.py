"""A store in each database the records know."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from postgres import new_database, postgres
from signers import ACCOUNT, MAKER, SHOWN

from livery.records.ledger import Act, Deed
from livery.records.people import begin, unlock_key
from livery.records.store import Store

__all__ = ["postgres"]


@pytest.fixture(params=["sqlite", "postgresql"])
def open_store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[], Store]]:
    """Opens the same store again and again, in SQLite and in PostgreSQL."""
    url = None
    if request.param == "postgresql":
        url = new_database(request.getfixturevalue("postgres"))
    opened: list[Store] = []

    def open_again() -> Store:
        opened.append(Store(tmp_path / "records", url))
        return opened[-1]

    yield open_again
    for store in opened:
        store.close()


@pytest.fixture
def store(open_store: Callable[[], Store]) -> Store:
    """One store."""
    return open_store()


@pytest.fixture
def begun(store: Store) -> Store:
    """A store whose maker has offered Q-101."""
    begin(store, *ACCOUNT, "2027-01-20")
    deed = Deed(Act.OFFER, "Q-101", 1, SHOWN, MAKER, "2027-01-20")
    store.enter(deed, unlock_key(store, *ACCOUNT))
    return store
