from pathlib import Path

import pytest

from livery.errors import OutputError
from livery.writing import StagedFolder, find_standing, write_whole


def test_a_file_is_replaced_whole(tmp_path: Path) -> None:
    write_whole(tmp_path / "a" / "b.txt", "one")
    write_whole(tmp_path / "a" / "b.txt", b"two")
    assert (tmp_path / "a" / "b.txt").read_text() == "two"
    assert [p.name for p in (tmp_path / "a").iterdir()] == ["b.txt"]


def test_a_place_that_cannot_be_written_is_one_error(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(tmp_path / "file" / "under", "y")
    assert (tmp_path / "file").read_text() == "x"


def test_a_failed_run_leaves_the_folder_as_it_was(tmp_path: Path) -> None:
    with StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "sheet.svg", "first")
    with pytest.raises(RuntimeError), StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "sheet.svg", "second")
        raise RuntimeError
    assert (tmp_path / "sheet.svg").read_text() == "first"
    assert not list(tmp_path.glob(".staging-*"))


def test_a_later_run_removes_only_what_an_earlier_run_made(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept")
    with StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "old" / "a.svg", "a")
        write_whole(staged.path / "edited.svg", "b")
    (tmp_path / "edited.svg").write_text("edited by hand")
    with StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "new.svg", "c")
    assert not (tmp_path / "old" / "a.svg").exists()
    assert (tmp_path / "edited.svg").read_text() == "edited by hand"
    assert (tmp_path / "mine.txt").read_text() == "kept"
    assert (tmp_path / "new.svg").read_text() == "c"


def test_another_kind_of_work_in_the_same_folder_stays(tmp_path: Path) -> None:
    for work, name in (("", "sheet.svg"), ("match", "match.svg"), ("match", "again.svg")):
        with StagedFolder(tmp_path, work) as staged:
            write_whole(staged.path / name, work)
    assert (tmp_path / "sheet.svg").exists()
    assert sorted(p.name for p in tmp_path.glob("[a-z]*")) == ["again.svg", "sheet.svg"]


@pytest.mark.parametrize(
    ("stands", "made"),
    [("index.html", "index.html"), ("sheets", "sheets/a.svg"), ("index.html/x", "index.html")],
)
def test_what_somebody_else_put_there_is_not_written_over(
    tmp_path: Path, stands: str, made: str
) -> None:
    write_whole(tmp_path / stands, "mine")
    with pytest.raises(OutputError, match="here stands a f"), StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "a.svg", "a")
        write_whole(staged.path / made, "livery's")
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == [tmp_path / stands]
    assert (tmp_path / stands).read_text() == "mine"


def test_a_forged_list_of_files_removes_nothing_outside(tmp_path: Path) -> None:
    outside = tmp_path / "outside.txt"
    outside.write_text("x")
    folder = tmp_path / "out"
    folder.mkdir()
    digest = "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881"
    (folder / ".livery-files.json").write_text(f'{{"../outside.txt": "{digest}"}}')
    with StagedFolder(folder) as staged:
        write_whole(staged.path / "a", "a")
    assert outside.exists()


@pytest.mark.parametrize("name", ["a\\u0000b", "x" * 5000, "\\ud800"])
def test_a_damaged_list_of_files_may_name_what_no_file_is_called(tmp_path: Path, name: str) -> None:
    (tmp_path / ".livery-files.json").write_text(f'{{"{name}": "2d71"}}')
    assert find_standing(tmp_path) == {}
    with StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "a", "a")
    assert set(find_standing(tmp_path)) == {"a"}
