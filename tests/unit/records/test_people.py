from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from livery.errors import InputError
from livery.records import tables
from livery.records.ledger import Act, Deed
from livery.records.people import (
    Office,
    Person,
    add_person,
    begin,
    check_password,
    close_session,
    find_person,
    find_session,
    has_people,
    make_link,
    open_link,
    open_session,
    unlock_key,
)
from livery.records.store import Store

NOW = datetime(2027, 1, 20, 9, 0, tzinfo=UTC)
MAKER = ("Wren Halloway", "reeds in the wind")
PLAYER = "Tamsin Orrowby"
SHOWN = "a" * 64


@pytest.fixture
def begun(store: Store) -> Store:
    begin(store, *MAKER, "2027-01-20")
    key = unlock_key(store, *MAKER)
    store.enter(Deed(Act.OFFER, "Q-101", 1, SHOWN, MAKER[0], "2027-01-20"), key)
    return store


def test_records_begin_once(store: Store) -> None:
    assert not has_people(store)
    begin(store, *MAKER, "2027-01-20")
    assert has_people(store)
    with pytest.raises(InputError, match="begun already"):
        begin(store, "Another", "long enough it is", "2027-01-20")


def test_an_account_whose_making_was_cut_short_is_made_again(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut(self: Store, deed: Deed, key: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as broken, pytest.raises(KeyboardInterrupt):
        broken.setattr(Store, "enter", cut)
        begin(store, *MAKER, "2027-01-20")
    assert store.entries() == ()
    begin(store, MAKER[0], "another password", "2027-01-20")
    assert check_password(store, MAKER[0], "another password") is not None
    assert store.verify() == ()


def test_a_signer_with_an_account_agrees_with_their_own_key(begun: Store) -> None:
    add_person(begun, MAKER, PLAYER, Office.SIGNER, "a hundred not out", "2027-01-20")
    key = unlock_key(begun, PLAYER, "a hundred not out")
    begun.enter(Deed(Act.AGREE, "Q-101", 1, SHOWN, PLAYER, "2027-01-21"), key)
    assert begun.verify() == ()
    assert find_person(begun, PLAYER) == Person(PLAYER, Office.SIGNER)


@pytest.mark.parametrize("password", ["", "a hundred not", "A hundred not out"])
def test_a_wrong_password_opens_nothing(begun: Store, password: str) -> None:
    add_person(begun, MAKER, PLAYER, Office.SIGNER, "a hundred not out", "2027-01-20")
    assert check_password(begun, PLAYER, password) is None
    assert check_password(begun, "Nobody", password) is None
    with pytest.raises(InputError, match="wrong"):
        unlock_key(begun, PLAYER, password)


def test_names_and_passwords_are_checked(begun: Store) -> None:
    for name, password, words in [
        (" ", "long enough it is", "not a name"),
        ("x" * 201, "long enough it is", "not a name"),
        ("Someone", "short", "too short"),
        (MAKER[0], "long enough it is", "taken"),
    ]:
        with pytest.raises(InputError, match=words):
            add_person(begun, MAKER, name, Office.BENCH, password, "2027-01-20")


def test_sessions_expire_and_close(begun: Store) -> None:
    person = Person(MAKER[0], Office.DESIGNER)
    token = open_session(begun, person, NOW)
    assert find_session(begun, token, NOW) == person
    assert find_session(begun, token, NOW + timedelta(hours=13)) is None
    assert find_session(begun, token + "x", NOW) is None
    close_session(begun, token)
    assert find_session(begun, token, NOW) is None


def test_the_store_holds_no_token_password_or_open_key(begun: Store) -> None:
    token = open_session(begun, Person(MAKER[0], Office.DESIGNER), NOW)
    link = make_link(begun, MAKER, "Q-101", PLAYER, NOW, timedelta(days=7))
    with begun.engine.connect() as connection:
        rows = [
            str(row)
            for table in (tables.accounts, tables.sessions, tables.links)
            for row in connection.execute(sa.select(table))
        ]
    text = " ".join(rows)
    assert token not in text
    assert link not in text
    assert MAKER[1] not in text
    assert "BEGIN PRIVATE KEY" not in text


def test_a_link_is_for_one_person_one_proof_and_a_time(begun: Store) -> None:
    token = make_link(begun, MAKER, "Q-101", PLAYER, NOW, timedelta(days=7))
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
        make_link(begun, MAKER, "Q-101", "Someone", NOW, timedelta(days=7))


def test_a_player_with_two_bats_answers_each_by_its_own_link(begun: Store) -> None:
    key = unlock_key(begun, *MAKER)
    begun.enter(Deed(Act.OFFER, "Q-102", 1, SHOWN, MAKER[0], "2027-01-20", PLAYER), key)
    tokens = {
        proof: make_link(begun, MAKER, proof, PLAYER, NOW, timedelta(days=7))
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
