"""Sessions and links: what a secret token opens, for how long, and that none is kept."""

from datetime import timedelta

import pytest
import sqlalchemy as sa
from signers import ACCOUNT, MAKER, NOW, PLAYER, SECRET, SHOWN

from livery.errors import InputError
from livery.records import tables
from livery.records.ledger import Act, Deed
from livery.records.passes import close_session, find_session, make_link, open_link, open_session
from livery.records.people import Office, Person, unlock_key
from livery.records.store import Store


def test_sessions_expire_and_close(begun: Store) -> None:
    person = Person(MAKER, Office.DESIGNER)
    token = open_session(begun, person, NOW)
    assert find_session(begun, token, NOW) == person
    assert find_session(begun, token, NOW + timedelta(hours=13)) is None
    assert find_session(begun, token + "x", NOW) is None
    close_session(begun, token)
    assert find_session(begun, token, NOW) is None


def test_the_store_holds_no_token_password_or_open_key(begun: Store) -> None:
    token = open_session(begun, Person(MAKER, Office.DESIGNER), NOW)
    link = make_link(begun, ACCOUNT, "Q-101", PLAYER, NOW, timedelta(days=7))
    with begun.engine.connect() as connection:
        rows = [
            str(row)
            for table in (tables.accounts, tables.sessions, tables.links)
            for row in connection.execute(sa.select(table))
        ]
    text = " ".join(rows)
    assert token not in text
    assert link not in text
    assert SECRET not in text
    assert "BEGIN PRIVATE KEY" not in text


def test_a_link_is_for_one_person_one_proof_and_a_time(begun: Store) -> None:
    token = make_link(begun, ACCOUNT, "Q-101", PLAYER, NOW, timedelta(days=7))
    opened = open_link(begun, token, NOW + timedelta(days=6))
    assert opened is not None
    link, key = opened
    assert (link.person, link.proof, link.content) == (PLAYER, "Q-101", SHOWN)
    assert open_link(begun, token, NOW + timedelta(days=8)) is None
    assert open_link(begun, "forged", NOW) is None
    begun.enter(Deed(Act.AGREE, "Q-101", 1, SHOWN, PLAYER, "2027-01-21"), key)
    with pytest.raises(InputError, match="agreed already"):
        begun.enter(Deed(Act.AGREE, "Q-101", 1, SHOWN, PLAYER, "2027-01-21"), key)
    with pytest.raises(InputError, match="waits for an answer"):
        make_link(begun, ACCOUNT, "Q-101", "Someone", NOW, timedelta(days=7))


def test_a_player_with_two_bats_answers_each_by_its_own_link(begun: Store) -> None:
    key = unlock_key(begun, *ACCOUNT)
    begun.enter(Deed(Act.OFFER, "Q-102", 1, SHOWN, MAKER, "2027-01-20", PLAYER), key)
    tokens = {
        proof: make_link(begun, ACCOUNT, proof, PLAYER, NOW, timedelta(days=7))
        for proof in ("Q-101", "Q-102")
    }
    first, second = (open_link(begun, tokens[proof], NOW) for proof in tokens)
    assert first is not None
    assert second is not None
    for proof, other in (("Q-101", second[1]), ("Q-102", first[1])):
        with pytest.raises(InputError, match="not trusted"):
            begun.enter(Deed(Act.AGREE, proof, 1, SHOWN, PLAYER, "2027-01-21"), other)
    for proof, own in (("Q-101", first[1]), ("Q-102", second[1])):
        begun.enter(Deed(Act.AGREE, proof, 1, SHOWN, PLAYER, "2027-01-21"), own)
    with pytest.raises(InputError, match="not trusted"):
        begun.enter(Deed(Act.OFFER, "Q-103", 1, SHOWN, PLAYER, "2027-01-21"), first[1])
    assert begun.verify() == ()
