"""What a killed run leaves is cleared by the next one; what still has its writer is not."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from livery.leftovers import clear_leftovers, make_temporary_folder, open_temporary
from livery.writing import StagedFolder, write_whole

WRITER = """
import sys, time
from pathlib import Path
from livery.leftovers import make_temporary_folder, open_temporary
folder = Path(sys.argv[1])
kept = open_temporary(folder, "sheet.pdf"), make_temporary_folder(folder, "staging-")
(kept[1][1] / "half.svg").write_text("half")
print("there", flush=True)
time.sleep(60)
"""


@pytest.fixture
def writer(tmp_path: Path):
    made = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    assert made.stdout is not None and made.stdout.readline() == "there\n"
    yield made
    made.kill()
    made.communicate()


def test_temporaries_of_a_living_writer_stay_and_of_a_killed_one_go(writer, tmp_path: Path) -> None:
    clear_leftovers(tmp_path)
    assert len(list(tmp_path.iterdir())) == 2
    os.kill(writer.pid, signal.SIGKILL)
    writer.wait()
    write_whole(tmp_path / "elsewhere" / "a.txt", "a")
    assert len(list(tmp_path.iterdir())) == 3
    with StagedFolder(tmp_path) as staged:
        write_whole(staged.path / "b.txt", "b")
    assert sorted(p.name for p in tmp_path.iterdir() if p.name != ".livery-files.json") == [
        "b.txt",
        "elsewhere",
    ]


def test_only_what_bears_our_ending_is_cleared(tmp_path: Path) -> None:
    names = (".mine", "sheet.livery", ".sheet.pdf.abc", "notes.txt", ".livery-files.json")
    for name in names:
        (tmp_path / name).write_text("kept")
    (tmp_path / ".away.livery").symlink_to(tmp_path / "notes.txt")
    (tmp_path / ".old.x1.livery").write_text("left")
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / ".old.x2.livery").write_text("left")
    clear_leftovers(tmp_path)
    assert {p.name for p in tmp_path.iterdir()} == {*names, ".away.livery", "in"}
    assert list((tmp_path / "in").iterdir())
    clear_leftovers(tmp_path, deep=True)
    assert not list((tmp_path / "in").iterdir())
    clear_leftovers(tmp_path / "nowhere")


def test_a_temporary_is_not_taken_from_its_own_process(tmp_path: Path) -> None:
    handle, path = open_temporary(tmp_path, "x" * 300)
    lock, folder = make_temporary_folder(tmp_path, "staging-")
    clear_leftovers(tmp_path)
    assert path.exists() and folder.exists()
    os.close(handle)
    os.close(lock)
    clear_leftovers(tmp_path)
    assert not path.exists() and not folder.exists()
