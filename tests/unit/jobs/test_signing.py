from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from signers import ACCOUNT, MAKER, SECRET

from livery.errors import InputError, SeasonError
from livery.jobs.recordkeeping import verify_records
from livery.jobs.season_records import open_records
from livery.jobs.signing import (
    answer_proof,
    begin_signing,
    find_order,
    find_status,
    link_proof,
    list_standings,
    list_statuses,
    offer_proof,
    write_receipt,
)
from livery.jobs.survey import Survey
from livery.records.book import State
from livery.records.papers import find_papers
from livery.records.passes import open_link
from livery.records.people import unlock_key
from livery.records.store import Store

NOW = datetime(2027, 1, 20, tzinfo=UTC)
DAY = "2027-01-20"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    season = tmp_path / "season.toml"
    begin_signing(season, *ACCOUNT, DAY, None)
    store = open_records(season)
    yield store
    store.close()


def _later(demo: Survey, revision: int) -> Survey:
    """The season with its first order's player spelt another way."""
    first, *rest = demo.scheme.orders
    orders = (replace(first, player=f"{first.player} II"), *rest)
    return replace(demo, scheme=replace(demo.scheme, orders=orders, revision=revision))


def test_a_proof_is_offered_linked_and_agreed_with_a_receipt(
    demo: Survey, store: Store, tmp_path: Path
) -> None:
    order = find_order(demo, "Q-101")
    assert find_status(demo, store, order).state is State.DRAFTED
    offer_proof(demo, store, order, ACCOUNT, "", DAY)
    shown = find_status(demo, store, order)
    assert (shown.state, shown.asked) == (State.OFFERED, order.player)
    token, person = link_proof(demo, store, order, SECRET, NOW, 7)
    opened = open_link(store, token, NOW + timedelta(days=6))
    assert opened is not None
    link, key = opened
    entry = answer_proof(demo, store, order, link.content, (person, key), DAY)
    write_receipt(entry, tmp_path / "receipt.json")
    assert find_status(demo, store, order).state is State.AGREED
    assert verify_records(store, [tmp_path / "receipt.json"]) == ()
    with pytest.raises(InputError, match="agreed already"):
        answer_proof(demo, store, order, link.content, (person, key), DAY)
    assert open_link(store, token, NOW + timedelta(days=8)) is None


def test_any_change_overtakes_what_was_offered(demo: Survey, store: Store) -> None:
    order = find_order(demo, "Q-101")
    offer_proof(demo, store, order, ACCOUNT, MAKER, DAY)
    shown = find_status(demo, store, order).content
    changed = _later(demo, 1)
    again = find_order(changed, "Q-101")
    status = find_status(changed, store, again)
    assert status.state is State.OVERTAKEN
    assert [one.state for one in list_standings(changed, store, again)] == [State.OVERTAKEN]
    key = unlock_key(store, *ACCOUNT)
    with pytest.raises(InputError, match="Give all 64 digits"):
        answer_proof(demo, store, order, shown[:12], (MAKER, key), DAY)
    with pytest.raises(InputError, match="overtaken"):
        answer_proof(changed, store, again, shown, (MAKER, key), DAY)
    with pytest.raises(InputError, match="Raise revision"):
        offer_proof(changed, store, again, ACCOUNT, MAKER, DAY)
    newer = _later(demo, 2)
    assert find_status(newer, store, again).state is State.DRAFTED
    offer_proof(newer, store, find_order(newer, "Q-101"), ACCOUNT, MAKER, DAY)
    assert [p.revision for p in find_papers(store, "Q-101")] == [1, 2]
    with pytest.raises(InputError, match="overtaken"):
        answer_proof(newer, store, again, shown, (MAKER, key), DAY)


def test_declining_needs_a_reason_and_tells_it(demo: Survey, store: Store) -> None:
    order = find_order(demo, "Q-102")
    offer_proof(demo, store, order, ACCOUNT, MAKER, DAY)
    status = find_status(demo, store, order)
    who = (MAKER, unlock_key(store, *ACCOUNT))
    with pytest.raises(InputError, match="needs a reason"):
        answer_proof(demo, store, order, status.content, who, DAY, "  ")
    answer_proof(demo, store, order, status.content, who, DAY, "The heron is too small")
    told = {one.order: one for one in list_statuses(demo, store)}["Q-102"]
    assert (told.state, told.reason) == (State.DECLINED, "The heron is too small")


def test_what_is_missing_is_named(demo: Survey, tmp_path: Path, store: Store) -> None:
    with pytest.raises(SeasonError, match="Q-101"):
        find_order(demo, "Q-999")
    with pytest.raises(InputError, match="no records yet"):
        open_records(tmp_path / "other.toml")
    order = find_order(demo, "Q-101")
    with pytest.raises(InputError, match="not offered"):
        link_proof(demo, store, order, SECRET, NOW, 7)
    with pytest.raises(InputError, match="passphrase is wrong"):
        offer_proof(demo, store, order, (MAKER, "wrong words here"), "", DAY)
