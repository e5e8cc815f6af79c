from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import sqlalchemy as sa
from archive import keep_evidence

from livery.errors import InputError, OutputError
from livery.records import tables
from livery.records.evidence import EvidenceFolder, kind_of
from livery.records.keys import SecretKey
from livery.records.ledger import Act, Deed
from livery.records.store import Store

KEY = SecretKey.generate()
TRUST = Deed(Act.TRUST, "maker", 0, KEY.public.hex, "maker", "2027-01-02")


def _offer(number: int) -> Deed:
    return Deed(Act.OFFER, f"Q-{number}", 1, f"{number:064x}", "maker", "2027-01-03")


def test_a_ledger_outlives_the_process(open_store: Callable[[], Store]) -> None:
    store = open_store()
    store.enter(TRUST, KEY)
    receipt = store.enter(_offer(1), KEY)
    store.close()
    again = open_store()
    assert again.verify([receipt]) == ()
    assert again.entries()[-1] == receipt


def test_a_deed_out_of_turn_changes_nothing(store: Store) -> None:
    store.enter(TRUST, KEY)
    with pytest.raises(InputError, match="never offered"):
        store.enter(Deed(Act.AGREE, "Q-1", 1, "a" * 64, "maker", ""), KEY)
    assert len(store.entries()) == 1


@pytest.mark.parametrize(
    "change",
    [
        tables.ledger.delete().where(tables.ledger.c.number == 3),
        tables.ledger.delete().where(tables.ledger.c.number == 2),
        tables.ledger.update()
        .where(tables.ledger.c.number == 2)
        .values(entry=sa.func.replace(tables.ledger.c.entry, "2027-01-03", "2026-01-03")),
    ],
    ids=["tail cut off", "middle removed", "date changed"],
)
def test_tampering_in_the_database_is_found_and_nothing_more_is_signed(
    store: Store, change: sa.sql.Executable
) -> None:
    store.enter(TRUST, KEY)
    for number in (1, 2):
        store.enter(_offer(number), KEY)
    with store.writing() as connection:
        connection.execute(change)
    assert store.verify()
    with pytest.raises(InputError, match="sign nothing"):
        store.enter(_offer(3), KEY)


def test_a_kept_head_that_was_removed_is_missed(store: Store) -> None:
    store.enter(TRUST, KEY)
    store.enter(_offer(1), KEY)
    (store.folder / "ledger-head.json").unlink()
    assert "kept head is missing" in store.verify()[0].text


def test_an_entry_that_damage_has_emptied_is_told(tmp_path: Path) -> None:
    store = Store(tmp_path)
    with store.writing() as connection:
        connection.execute(sa.text("DROP TABLE ledger"))
        connection.execute(sa.text("CREATE TABLE ledger (number, entry)"))
        connection.execute(sa.text("INSERT INTO ledger VALUES (1, NULL)"))
    with pytest.raises(InputError, match="entry 1"):
        store.verify()
    store.close()


@pytest.mark.parametrize(
    "text", ["", "[" * 100_000, '{"number": 1e999, "hash": ""}', '{"number": []}', "\udcff"]
)
def test_a_kept_head_that_makes_no_sense_is_told(store: Store, text: str) -> None:
    store.enter(TRUST, KEY)
    head = store.folder / "ledger-head.json"
    head.write_bytes(text.encode("utf-8", "surrogateescape"))
    assert store.verify()


def test_two_benches_writing_at_once_lose_nothing(open_store: Callable[[], Store]) -> None:
    store = open_store()
    store.enter(TRUST, KEY)

    def work(start: int) -> None:
        other = open_store()
        for number in range(start, start + 10):
            other.enter(_offer(number), KEY)
            keep_evidence(other, f"photo {number % 7}".encode(), "photo.jpg")

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(work, (0, 10, 20, 30)))
    assert len(store.entries()) == 41
    assert store.verify() == ()
    with store.engine.connect() as connection:
        assert connection.scalar(sa.select(sa.func.count()).select_from(tables.evidence)) == 7


def test_changed_or_missing_evidence_is_found(store: Store) -> None:
    kept = keep_evidence(store, b"\xff\xd8\xff photo", "a.jpg")
    lost = keep_evidence(store, b"%PDF- proof", "b.pdf")
    store.evidence.path_of(kept).write_bytes(b"another")
    store.evidence.path_of(lost).unlink()
    texts = " ".join(trouble.text for trouble in store.verify())
    assert "changed" in texts
    assert "missing" in texts


def test_evidence_is_named_by_content_alone(tmp_path: Path) -> None:
    folder = EvidenceFolder(tmp_path)
    for name in ("../../etc/passwd", "A" * 64, "abc", ""):
        with pytest.raises(InputError, match="SHA-256"):
            folder.path_of(name)
    assert kind_of(b"\x89PNG\r\n\x1a\n....") == "image/png"
    assert kind_of(b"<svg/>") == "application/octet-stream"


def test_the_tables_are_what_the_migrations_make(store: Store) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.runtime.migration import MigrationContext

    with store.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), tables.metadata) == []


def test_a_damaged_database_is_told_in_words(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    folder.mkdir()
    (folder / "records.sqlite").write_bytes(b"no database at all" * 100)
    with pytest.raises(OutputError, match="damaged: restore it from a backup"):
        Store(folder)
