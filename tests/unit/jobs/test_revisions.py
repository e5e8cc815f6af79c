"""What was offered is an input of proofs made outside the pages: changes since are listed."""

from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from signers import ACCOUNT
from small_season import SmallSeason

from livery.errors import InputError, OutputError
from livery.jobs.rebuilding import Built, build_season
from livery.jobs.revisions import earlier_proofs, papers_as_proof
from livery.jobs.season_records import open_records, read_history, records_folder
from livery.jobs.signing import begin_signing, find_order, offer_proof
from livery.jobs.survey import survey
from livery.records import tables
from livery.records.history import Occasion, save_capture
from livery.records.papers import keep_papers, list_papers
from livery.records.store import Store


@pytest.fixture(scope="module")
def seasons(tmp_path_factory: pytest.TempPathFactory) -> tuple[SmallSeason, Path]:
    """A season whose first revision was offered, and its file."""
    first = SmallSeason()
    path = first.write(tmp_path_factory.mktemp("revisions") / "season")
    begin_signing(path, *ACCOUNT, "2027-01-19", None)
    store = open_records(path)
    found = survey(path)
    offer_proof(found, store, found.scheme.orders[0], ACCOUNT, "", "2027-01-19")
    store.close()
    return first, path


def _pages(out: Path, key: str) -> int:
    with pikepdf.open(out / "proofs" / f"{key}-proof.pdf") as proof:
        return len(proof.pages)


def test_a_build_lists_what_changed_and_goes_by_what_was_offered(
    seasons: tuple[SmallSeason, Path], tmp_path: Path
) -> None:
    first, path = seasons
    key = survey(path).scheme.orders[0].key
    folder = path.parent

    def build() -> Built:
        return build_season(path, tmp_path / "out")

    build()
    pages = _pages(tmp_path / "out", key)
    replace(first, revision=2, badge=first.badge - 4).write(folder)
    assert not build().unchanged
    assert _pages(tmp_path / "out", key) > pages  # what changed is drawn
    (earlier,) = earlier_proofs(survey(path)).values()
    assert earlier.revision == 1 and earlier.likenesses
    store = open_records(path)
    occasion = Occasion(key, "", "", "2027-01-20")
    save_capture(store, b"\xff\xd8\xff", "x.jpg", {"gates": []}, (), occasion)
    assert build().unchanged  # a capture is no part of it
    found = survey(path)
    offer_proof(found, store, find_order(found, key), ACCOUNT, "", "2027-01-20")
    assert not build().unchanged
    store.close()


def test_a_history_that_cannot_be_read_is_told_and_nothing_stops(
    seasons: tuple[SmallSeason, Path], tmp_path: Path
) -> None:
    path = seasons[0].write(tmp_path / "season")
    assert read_history(path).digest == ""
    records_folder(path).mkdir()
    for content in (None, b"no database at all" * 100):
        if content is not None:
            (records_folder(path) / "records.sqlite").write_bytes(content)
        assert "cannot be used" in read_history(path).trouble
        with pytest.raises(OutputError, match="cannot be used"):
            earlier_proofs(survey(path))
        built = build_season(path, tmp_path / "out")
        assert "cannot be used" in built.trouble
    assert built.unchanged


@pytest.mark.parametrize("facts", ["[[1]]", "{", "[" * 100_000])
def test_papers_that_are_damaged_are_told_and_no_build_stops(
    seasons: tuple[SmallSeason, Path], tmp_path: Path, facts: str
) -> None:
    path = seasons[0].write(tmp_path / "season")
    begin_signing(path, *ACCOUNT, "2027-01-19", None)
    store = open_records(path)
    keep_papers(store, ("Q-1", 2, "ab" * 32), b"%PDF-", (), ())
    with store.writing() as connection:
        connection.execute(tables.papers.update().values(facts=facts))
    with pytest.raises(InputError, match="Q-1 revision 2: it is damaged"):
        list_papers(store)
    store.close()
    assert "Q-1 revision 2: it is damaged" in read_history(path).trouble


def test_a_likeness_that_is_none_is_told_by_its_revision(tmp_path: Path) -> None:
    store = Store(tmp_path)
    papers = keep_papers(store, ("Q-1", 2, "ab" * 32), b"%PDF-", (), (), b"\x1f\x8bnothing")
    with pytest.raises(InputError, match=r"Q-1 revision 2: how it looked cannot be read"):
        papers_as_proof(store, papers, "Ada Reed")
    store.close()
