from dataclasses import replace

import pytest

from livery.records.book import Book, State, read_book
from livery.records.keys import PublicKey, SecretKey, is_signed_by
from livery.records.ledger import (
    Act,
    Deed,
    Entry,
    Head,
    entry_from_json,
    find_troubles,
    head_of,
    sign_entry,
)

MAKER, PLAYER = SecretKey.generate(), SecretKey.generate()
SHOWN, OTHER = "a" * 64, "b" * 64


def _ledger() -> list[Entry]:
    deeds = [
        (Deed(Act.TRUST, "maker", 0, MAKER.public.hex, "maker", "2027-01-02"), MAKER),
        (Deed(Act.TRUST, "player", 0, PLAYER.public.hex, "maker", "2027-01-02"), MAKER),
        (Deed(Act.OFFER, "Q-101", 1, OTHER, "maker", "2027-01-03"), MAKER),
        (Deed(Act.DECLINE, "Q-101", 1, OTHER, "player", "2027-01-04", "heron too small"), PLAYER),
        (Deed(Act.OFFER, "Q-101", 2, SHOWN, "maker", "2027-01-05"), MAKER),
        (Deed(Act.AGREE, "Q-101", 2, SHOWN, "player", "2027-01-06"), PLAYER),
    ]
    entries: list[Entry] = []
    for deed, key in deeds:
        entries.append(sign_entry(deed, head_of(entries), key))
    return entries


LEDGER = _ledger()


def test_a_good_ledger_stands() -> None:
    assert find_troubles(LEDGER, seen=head_of(LEDGER), receipts=LEDGER) == ()
    book, troubles = read_book(LEDGER)
    assert troubles == ()
    states = [(one.content, one.state) for one in book.standings]
    assert states == [(OTHER, State.OVERTAKEN), (SHOWN, State.AGREED)]
    assert book.latest("Q-101") == book.standings[-1]
    assert book.latest("Q-102") is None


def test_entries_come_back_from_json() -> None:
    assert [entry_from_json(entry.to_json()) for entry in LEDGER] == LEDGER
    for text in ("{}", "[]", LEDGER[0].to_json().replace('"revision":0', '"revision":"0"')):
        with pytest.raises(ValueError, match=r"entry|revision"):
            entry_from_json(text)


@pytest.mark.parametrize("number", range(1, 7))
@pytest.mark.parametrize("field", ["content", "by", "date", "reason", "proof", "revision"])
def test_any_change_is_found_at_its_entry(number: int, field: str) -> None:
    changed = 9 if field == "revision" else "tampered"
    forged = [replace(e, **{field: changed}) if e.number == number else e for e in LEDGER]
    assert number in {trouble.number for trouble in find_troubles(forged)}


@pytest.mark.parametrize("number", range(1, 7))
def test_a_change_resigned_by_another_key_is_found(number: int) -> None:
    thief = SecretKey.generate()
    entry = LEDGER[number - 1]
    deed = Deed(entry.act, entry.proof, entry.revision, entry.content, entry.by, "2020-01-01")
    forged = sign_entry(deed, Head(number - 1, entry.before), thief)
    entries = [*LEDGER[: number - 1], forged, *LEDGER[number:]]
    chain, (_, acts) = find_troubles(entries), read_book(entries)
    assert chain or acts


@pytest.mark.parametrize("number", range(1, 6))
def test_removing_an_entry_is_found(number: int) -> None:
    assert find_troubles([e for e in LEDGER if e.number != number])


def test_swapping_two_entries_is_found() -> None:
    swapped = [*LEDGER[:2], LEDGER[3], LEDGER[2], *LEDGER[4:]]
    assert find_troubles(swapped)


@pytest.mark.parametrize("kept", range(6))
def test_a_tail_cut_off_is_found_by_the_kept_head_and_by_receipts(kept: int) -> None:
    short = LEDGER[:kept]
    assert "cut off" in find_troubles(short, seen=head_of(LEDGER))[0].text
    assert "cut off" in find_troubles(short, receipts=[LEDGER[-1]])[0].text


def test_a_rewritten_ledger_is_found_by_the_kept_head() -> None:
    assert find_troubles(_ledger()[:-1], seen=Head(3, LEDGER[2].hash + "0"))


def _objection(deed: Deed, key: SecretKey, upto: int = 6) -> str | None:
    book, _ = read_book(LEDGER[:upto])
    return book.objection(deed, key.public.hex)


@pytest.mark.parametrize(
    ("deed", "key", "upto", "words"),
    [
        (Deed(Act.AGREE, "Q-101", 2, OTHER, "player", ""), PLAYER, 5, "not what is offered"),
        (Deed(Act.AGREE, "Q-101", 2, SHOWN, "player", ""), MAKER, 5, "not trusted"),
        (Deed(Act.AGREE, "Q-101", 2, SHOWN, "player", ""), PLAYER, 6, "agreed already"),
        (Deed(Act.AGREE, "Q-999", 1, SHOWN, "player", ""), PLAYER, 6, "never offered"),
        (Deed(Act.DECLINE, "Q-101", 2, SHOWN, "player", "", " "), PLAYER, 5, "needs a reason"),
        (Deed(Act.OFFER, "Q-101", 2, OTHER, "maker", ""), MAKER, 6, "offer a later one"),
        (Deed(Act.TRUST, "thief", 0, SHOWN, "player", ""), PLAYER, 6, "only maker"),
    ],
)
def test_what_is_out_of_turn_is_refused(deed: Deed, key: SecretKey, upto: int, words: str) -> None:
    objection = _objection(deed, key, upto)
    assert objection is not None
    assert words in objection


def _continued(*deeds: Deed) -> Book:
    entries = list(LEDGER)
    for deed in deeds:
        entries.append(sign_entry(deed, head_of(entries), MAKER))
    return read_book(entries)[0]


def test_only_the_one_who_was_asked_answers() -> None:
    book = _continued(Deed(Act.OFFER, "Q-102", 1, SHOWN, "maker", "", "player"))
    mine = Deed(Act.AGREE, "Q-102", 1, SHOWN, "maker", "")
    assert "for player to answer" in str(book.objection(mine, MAKER.public.hex))
    theirs = Deed(Act.AGREE, "Q-102", 1, SHOWN, "player", "")
    assert book.objection(theirs, PLAYER.public.hex) is None


@pytest.mark.parametrize(("office", "may"), [("designer", True), ("bench", False)])
def test_only_the_maker_and_designers_offer(office: str, may: bool) -> None:
    book = _continued(Deed(Act.TRUST, "player", 0, PLAYER.public.hex, "maker", "", office))
    offer = Deed(Act.OFFER, "Q-103", 1, SHOWN, "player", "")
    assert (book.objection(offer, PLAYER.public.hex) is None) is may
    assert book.objection(Deed(Act.OFFER, "Q-103", 1, SHOWN, "maker", ""), MAKER.public.hex) is None


def test_a_ledger_begins_with_its_makers_own_key() -> None:
    stranger = Deed(Act.TRUST, "player", 0, PLAYER.public.hex, "maker", "")
    assert Book().objection(stranger, MAKER.public.hex)


def test_keys_come_back_from_pem_only_with_their_passphrase() -> None:
    pem = MAKER.to_pem("willow and reed")
    assert SecretKey.from_pem(pem, "willow and reed").public == MAKER.public
    for wrong in (None, "willow"):
        with pytest.raises(ValueError, match=r"."):
            SecretKey.from_pem(pem, wrong)
    assert repr(MAKER) == "SecretKey()"


def test_signatures_agree_with_the_published_example() -> None:
    # [rfc-8032] section 7.1, test 1 (from memory): the empty message.
    public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
    signature = (
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701c"
        "f9b46bd25bf5f0595bbe24655141438e7a100b"
    )
    assert is_signed_by(PublicKey(public), b"", signature)
    assert not is_signed_by(PublicKey(public), b"x", signature)
