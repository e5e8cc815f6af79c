from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from signers import ACCOUNT, MAKER, NOW, PLAYER, SECRET, SHOWN

from livery.errors import InputError
from livery.records.export import back_up, restore
from livery.records.ledger import Act, Deed
from livery.records.passes import find_session, make_link, open_link, open_session
from livery.records.people import (
    Office,
    Person,
    add_person,
    begin,
    change_password,
    check_password,
    close_account,
    find_person,
    has_people,
    list_people,
    unlock_key,
)
from livery.records.store import Store


@contextmanager
def _cut_short() -> Iterator[None]:
    """What is done within ends where it would enter a deed into the ledger."""

    def cut(self: Store, deed: Deed, key: object) -> None:
        raise KeyboardInterrupt

    with pytest.MonkeyPatch.context() as broken, pytest.raises(KeyboardInterrupt):
        broken.setattr(Store, "enter", cut)
        yield


def test_records_begin_once(store: Store) -> None:
    assert not has_people(store)
    begin(store, *ACCOUNT, "2027-01-20")
    assert has_people(store)
    with pytest.raises(InputError, match="begun already"):
        begin(store, "Another", "long enough it is", "2027-01-20")


def test_an_account_whose_making_was_cut_short_is_made_again(store: Store) -> None:
    with _cut_short():
        begin(store, *ACCOUNT, "2027-01-20")
    assert store.entries() == ()
    begin(store, MAKER, "another password", "2027-01-20")
    assert check_password(store, MAKER, "another password") is not None
    assert store.verify() == ()


def test_a_signer_with_an_account_agrees_with_their_own_key(begun: Store) -> None:
    add_person(begun, ACCOUNT, PLAYER, Office.SIGNER, "a hundred not out", "2027-01-20")
    key = unlock_key(begun, PLAYER, "a hundred not out")
    begun.enter(Deed(Act.AGREE, "Q-101", 1, SHOWN, PLAYER, "2027-01-21"), key)
    assert begun.verify() == ()
    assert find_person(begun, PLAYER) == Person(PLAYER, Office.SIGNER)


@pytest.mark.parametrize("password", ["", "a hundred not", "A hundred not out"])
def test_a_wrong_password_opens_nothing(begun: Store, password: str) -> None:
    add_person(begun, ACCOUNT, PLAYER, Office.SIGNER, "a hundred not out", "2027-01-20")
    assert check_password(begun, PLAYER, password) is None
    assert check_password(begun, "Nobody", password) is None
    with pytest.raises(InputError, match="wrong"):
        unlock_key(begun, PLAYER, password)


def test_names_and_passwords_are_checked(begun: Store) -> None:
    for name, password, words in [
        (" ", "long enough it is", "not a name"),
        ("x" * 201, "long enough it is", "not a name"),
        ("a\nb", "long enough it is", "not a name"),
        ("a\udcff", "long enough it is", "not a name"),
        ("Someone", "short", "too short"),
        (MAKER, "long enough it is", "taken"),
    ]:
        with pytest.raises(InputError, match=words):
            add_person(begun, ACCOUNT, name, Office.BENCH, password, "2027-01-20")


def test_a_changed_password_opens_the_same_key_and_ends_sessions(begun: Store) -> None:
    key = unlock_key(begun, *ACCOUNT).public
    token = open_session(begun, Person(MAKER, Office.DESIGNER), NOW)
    for old, new, words in (
        ("wrong words here", "reeds in the rain", "wrong"),
        (SECRET, "short", "too short"),
    ):
        with pytest.raises(InputError, match=words):
            change_password(begun, MAKER, old, new)
    assert find_session(begun, token, NOW) is not None
    change_password(begun, *ACCOUNT, "reeds in the rain")
    assert check_password(begun, *ACCOUNT) is None
    assert unlock_key(begun, MAKER, "reeds in the rain").public == key
    assert find_session(begun, token, NOW) is None
    assert begun.verify() == ()


def test_a_closed_account_lets_nobody_in_and_what_it_signed_stands(
    begun: Store, tmp_path: Path
) -> None:
    link = make_link(begun, ACCOUNT, "Q-101", PLAYER, NOW, timedelta(days=7))
    add_person(begun, ACCOUNT, PLAYER, Office.SIGNER, "a hundred not out", "2027-01-20")
    key = unlock_key(begun, PLAYER, "a hundred not out")
    begun.enter(Deed(Act.AGREE, "Q-101", 1, SHOWN, PLAYER, "2027-01-21"), key)
    token = open_session(begun, Person(PLAYER, Office.SIGNER), NOW)
    entry = close_account(begun, ACCOUNT, PLAYER, "2027-01-22")
    assert (entry.act, entry.proof, entry.content) == (Act.CLOSE, PLAYER, key.public.hex)
    assert list_people(begun) == (Person(MAKER, Office.DESIGNER),)
    assert find_session(begun, token, NOW) is None
    assert open_link(begun, link, NOW) is None
    assert check_password(begun, PLAYER, "a hundred not out") is None
    offered = Deed(Act.OFFER, "Q-102", 1, SHOWN, MAKER, "2027-01-22")
    begun.enter(offered, unlock_key(begun, *ACCOUNT))
    with pytest.raises(InputError, match="not trusted"):
        begun.enter(Deed(Act.AGREE, "Q-102", 1, SHOWN, PLAYER, "2027-01-23"), key)
    assert begun.verify() == ()
    back_up(begun, tmp_path / "a.tar")
    again = restore(tmp_path / "a.tar", tmp_path / "again")
    assert len(list_people(again)) == 1
    again.close()
    add_person(begun, ACCOUNT, PLAYER, Office.BENCH, "a second innings", "2027-01-24")
    assert begun.verify() == ()


def test_only_the_maker_closes_and_never_their_own(begun: Store) -> None:
    add_person(begun, ACCOUNT, PLAYER, Office.DESIGNER, "a hundred not out", "2027-01-20")
    for maker, name, words in (
        (ACCOUNT, MAKER, "nobody else could go on"),
        (ACCOUNT, "Nobody", f"has no account. Choose of {PLAYER}"),
        ((MAKER, "wrong words here"), PLAYER, "wrong"),
        ((PLAYER, "a hundred not out"), PLAYER, "only the one who began the ledger"),
    ):
        with pytest.raises(InputError, match=words):
            close_account(begun, maker, name, "2027-01-22")
    assert len(list_people(begun)) == 2


def test_a_closing_that_was_cut_short_is_finished(begun: Store) -> None:
    add_person(begun, ACCOUNT, PLAYER, Office.BENCH, "a hundred not out", "2027-01-20")

    with _cut_short():
        close_account(begun, ACCOUNT, PLAYER, "2027-01-22")
    assert check_password(begun, PLAYER, "a hundred not out") is None
    assert close_account(begun, ACCOUNT, PLAYER, "2027-01-22").act is Act.CLOSE
    assert begun.verify() == ()
