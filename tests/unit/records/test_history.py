import csv
import io
import json
import tarfile
from pathlib import Path

import pytest
import sqlalchemy as sa
from archive import read_comparisons
from signers import ACCOUNT, MAKER

from livery.capture.report import capture_digest
from livery.errors import InputError, OutputError
from livery.match.model import Comparison, Verdict
from livery.records import tables
from livery.records.canonical import canonical
from livery.records.export import back_up, export_csv, export_json, restore
from livery.records.history import (
    Occasion,
    count_captures,
    read_captures,
    read_newest,
    read_outcomes,
    read_trend,
    save_capture,
)
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed
from livery.records.papers import find_papers, keep_papers
from livery.records.people import begin, unlock_key
from livery.records.seals import capture_key
from livery.records.store import Store

NAME = "=HYPERLINK('x'); DROP TABLE captures; -- <b>&"
CAPTURE = {
    "samples": [{"name": "s", "item": NAME, "ink": "ember", "lab": [50.5, 60.25, -1], "cov": []}],
    "gates": [{"gate": "focus", "ok": True}],
}
VERDICT = Comparison("ember", "aim", NAME, 1.5, 0.25, 0.99, 2.0, Verdict.PASS, "a little lighter")


def _save(store: Store, date: str, photo: bytes = b"\xff\xd8\xff1", **changes: object) -> int:
    occasion = Occasion("Q-101", "bench 2", "B7", date)
    return save_capture(store, photo, NAME, CAPTURE | changes, [VERDICT], occasion)


def test_the_same_capture_twice_is_one(store: Store) -> None:
    assert _save(store, "2027-02-01") == _save(store, "2027-02-01")
    assert len(read_captures(store)) == len(read_comparisons(store)) == 1
    assert read_captures(store, "Q-101")[0]["capture"] == CAPTURE
    assert read_captures(store, "Q-102") == ()


@pytest.mark.parametrize(
    "change",
    [
        {"bat": "Q-102"},
        {"capture": sa.func.replace(tables.captures.c.capture, "50.5", "51.5")},
        {"capture": "[]"},
        {"capture": "no JSON"},
    ],
)
def test_a_capture_changed_in_the_database_is_found(
    store: Store, change: dict[str, object]
) -> None:
    _save(store, "2027-02-01")
    assert store.verify() == ()
    with store.writing() as connection:
        connection.execute(tables.captures.update().values(**change))
    assert [trouble.text for trouble in store.verify()] == [
        "capture 1 was changed since it was kept. Restore a backup"
    ]


def test_a_captures_own_digest_is_held_to_what_it_says(store: Store) -> None:
    sealed = CAPTURE | {"digest": capture_digest(CAPTURE)}
    occasion = Occasion("Q-101", "bench 2", "B7", "2027-02-01")
    save_capture(store, b"\xff\xd8\xff1", NAME, sealed, [VERDICT], occasion)
    assert store.verify() == ()
    forged = canonical(sealed | {"gates": []}).decode()
    with store.writing() as connection:
        photo = connection.scalar(sa.select(tables.captures.c.photo))
        key = capture_key(forged, photo, "Q-101")  # whoever forges may know how keys are made
        connection.execute(tables.captures.update().values(capture=forged, key=key))
    assert "capture 1 was changed" in store.verify()[0].text


def test_a_trend_is_in_order_of_date_and_of_good_captures_only(store: Store) -> None:
    _save(store, "2027-02-03", b"3")
    _save(store, "2027-02-01", b"1")
    _save(store, "2027-02-02", b"2", gates=[{"gate": "focus", "ok": False}])
    points = read_trend(store, "ember")
    assert [point.date for point in points] == ["2027-02-01", "2027-02-03"]
    assert points[0].lab == (50.5, 60.25, -1.0)
    assert read_trend(store, "tarn") == ()
    assert [point.date for point in read_trend(store, None, most=1)] == ["2027-02-03"]


def test_names_are_data_in_every_export(store: Store) -> None:
    _save(store, "2027-02-01")
    assert json.loads(export_json(store))["samples"][0]["item"] == NAME
    rows = list(csv.DictReader(io.StringIO(export_csv(store)["samples"])))
    assert rows[0]["item"] == "'" + NAME


def test_a_backup_restores_everything(store: Store, tmp_path: Path) -> None:
    key = SecretKey.generate()
    store.enter(Deed(Act.TRUST, "maker", 0, key.public.hex, "maker", "2027-01-02"), key)
    _save(store, "2027-02-01")
    back_up(store, tmp_path / "a.tar")
    back_up(store, tmp_path / "b.tar")
    assert (tmp_path / "a.tar").read_bytes() == (tmp_path / "b.tar").read_bytes()
    again = restore(tmp_path / "a.tar", tmp_path / "again")
    assert export_json(again) == export_json(store)
    assert again.verify() == ()
    again.close()
    with pytest.raises(OutputError, match="holds records already"):
        restore(tmp_path / "a.tar", tmp_path / "again")


def test_a_backup_that_was_changed_is_refused(store: Store, tmp_path: Path) -> None:
    _save(store, "2027-02-01", b"\xff\xd8\xff photograph")
    back_up(store, tmp_path / "a.tar")
    data = (tmp_path / "a.tar").read_bytes()
    (tmp_path / "a.tar").write_bytes(
        data.replace(b"\xff\xd8\xff photograph", b"\xff\xd8\xff fotograph!")
    )
    with pytest.raises(InputError, match="missing"):
        restore(tmp_path / "a.tar", tmp_path / "other")
    (tmp_path / "a.tar").write_bytes(b"no backup")
    with pytest.raises(InputError, match="not a livery backup"):
        restore(tmp_path / "a.tar", tmp_path / "third")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.tar", "records"]


_TABLES = ("evidence", "samples", "comparisons", "ledger", "papers", "accounts")
_EMPTY: dict[str, list[object]] = {name: [] for name in _TABLES}
_ROW = dict.fromkeys(("key", "photo", "bat", "bench", "batch", "date", "capture"), "") | {"good": 1}


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "[]",
        '{"evidence": 3}',
        '{"evidence": [], "captures": [{"id": "x"}]}',
        "null",
        "[" * 100_000,
        json.dumps({**_EMPTY, "captures": [{**_ROW, "id": 10**30}]}),
    ],
)
def test_a_backup_with_nonsense_in_it_leaves_nothing(tmp_path: Path, text: str) -> None:
    with tarfile.open(tmp_path / "a.tar", "w") as archive:
        member = tarfile.TarInfo("records.json")
        member.size = len(text)
        archive.addfile(member, io.BytesIO(text.encode()))
    with pytest.raises(InputError, match="not a livery backup"):
        restore(tmp_path / "a.tar", tmp_path / "other")
    assert [p.name for p in tmp_path.iterdir()] == ["a.tar"]


def test_a_backup_is_its_owners_alone_and_the_maker_signs_again(
    store: Store, tmp_path: Path
) -> None:
    begin(store, *ACCOUNT, "2027-01-02")
    back_up(store, tmp_path / "a.tar")
    assert (tmp_path / "a.tar").stat().st_mode & 0o077 == 0
    again = restore(tmp_path / "a.tar", tmp_path / "again")
    key = unlock_key(again, *ACCOUNT)
    again.enter(Deed(Act.OFFER, "Q-1", 1, "a" * 64, MAKER, "2027-01-03"), key)
    assert again.verify() == ()
    again.close()


def test_a_backup_with_an_office_that_nobody_gave_is_refused(store: Store, tmp_path: Path) -> None:
    begin(store, *ACCOUNT, "2027-01-02")
    add = {"name": "Cuckoo", "role": "designer", "password": "x", "key": "x"}
    with store.writing() as connection:
        connection.execute(tables.accounts.insert().values(**add))
    back_up(store, tmp_path / "a.tar")
    with tarfile.open(tmp_path / "a.tar") as archive:
        text = archive.extractfile("records.json").read()
        head = archive.extractfile("ledger-head.json").read()
    assert b"Cuckoo" not in text  # it was never finished
    rows = json.loads(text)
    rows["accounts"].append(add)
    _pack(tmp_path / "b.tar", {"records.json": json.dumps(rows).encode(), "ledger-head.json": head})
    with pytest.raises(InputError, match="Cuckoo's account is not what the ledger says"):
        restore(tmp_path / "b.tar", tmp_path / "other")
    assert not (tmp_path / "other").exists()


def test_a_backup_that_unpacks_to_more_than_it_is_or_elsewhere_is_refused(tmp_path: Path) -> None:
    holes = {"GNU.sparse.map": "0,1", "GNU.sparse.size": "9999999999999"}
    _pack(tmp_path / "a.tar", {"records.json": b"{"}, holes)
    with pytest.raises(InputError, match="has holes"):
        restore(tmp_path / "a.tar", tmp_path / "other")
    rows = {name: [] for name in ("evidence", "captures", "samples", "comparisons", "ledger")}
    text = json.dumps({**rows, "papers": [], "accounts": []}).encode()
    names = ("evidence/../../out", "/evidence/../../out", "evidence/x/../../../out")
    _pack(tmp_path / "b.tar", {"records.json": text} | dict.fromkeys(names, b"\xff\xd8\xff"))
    restore(tmp_path / "b.tar", tmp_path / "in" / "made").close()
    assert not list(tmp_path.rglob("out"))


def _pack(path: Path, files: dict[str, bytes], headers: dict[str, str] | None = None) -> None:
    with tarfile.open(path, "w", format=tarfile.PAX_FORMAT) as archive:
        for name, data in files.items():
            member = tarfile.TarInfo(name)
            member.size, member.pax_headers = len(data), headers or {}
            archive.addfile(member, io.BytesIO(data))


def test_papers_are_kept_once_for_each_content(store: Store) -> None:
    facts = (("Player", "Tamsin"), ("Bats", "2"))
    pages = [b"\x1f\x8b one", b"\x1f\x8b two"]
    for content in ("a" * 64, "b" * 64, "a" * 64):
        kept = keep_papers(store, ("Q-1", 1, content), b"%PDF-1", pages, facts)
    assert [p.content[0] for p in find_papers(store, "Q-1")] == ["a", "b"]
    assert find_papers(store, "Q-1")[0] == kept
    assert [store.evidence.read(page) for page in kept.pages] == pages
    assert find_papers(store, "Q-2") == ()
    assert store.verify() == ()


def test_a_damaged_capture_is_told_in_words(store: Store) -> None:
    number = _save(store, "2027-02-01")
    with store.writing() as connection:
        connection.execute(sa.text("UPDATE captures SET capture = '{'"))
    with pytest.raises(InputError, match=f"capture {number}: it is damaged"):
        read_captures(store)


def test_outcomes_of_one_bat_are_its_own(store: Store) -> None:
    for bat, name in (("Q-1", "a"), ("Q-2", "b"), ("Q-1", "c")):
        photo = b"\xff\xd8\xff" + name.encode()
        save_capture(store, photo, "x.jpg", {"gates": []}, (), Occasion(bat, "", "", "2027-01-18"))
    assert [one.bat for one in read_outcomes(store, "Q-1")] == ["Q-1", "Q-1"]
    assert len(read_outcomes(store)) == 3
    assert [one.number for one in read_outcomes(store, "Q-1", most=1)] == [3]
    newest = {bat: (count, one.number) for bat, (count, one) in read_newest(store).items()}
    assert newest == {"Q-1": (2, 3), "Q-2": (1, 2)}
    assert (count_captures(store, "Q-1"), count_captures(store, "Q-9")) == (2, 0)
    assert read_outcomes(store, "' OR 1=1 --") == ()
