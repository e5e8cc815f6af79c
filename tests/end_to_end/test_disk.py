"""A disk that is full and a folder that cannot be written: one message, and all as it was."""

import ctypes
import os
import resource
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from folders import files_of
from small_season import SmallSeason
from targets import measured_target

from livery.capture import capture_to_json, write_target
from livery.jobs.photograph_tasks import measure_bytes, read_setting
from livery.jobs.photographs import capture_text
from livery.rehearsal import Camera, Light, Pose, make_scene, render

LIBC = ctypes.CDLL(None)
DROP, OVERRIDE = 24, 1  # PR_CAPBSET_DROP of prctl(2), CAP_DAC_OVERRIDE of capabilities(7)
FULL_AT = 4000  # bytes a file may have on the full disk


def _full() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (FULL_AT, FULL_AT))


def _bound() -> None:
    """A root that is held to the permissions of files, like anyone."""
    if os.geteuid() == 0 and LIBC.prctl(DROP, OVERRIDE, 0, 0, 0) != 0:
        os._exit(99)


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A season, a target, a photograph of it and its capture."""
    folder = tmp_path_factory.mktemp("bench")
    SmallSeason().write(folder / "season")
    target = measured_target("card")
    write_target(target, folder / "target.toml")
    photo = render(make_scene(target), Camera(width_px=900, height_px=1200), Light("D50"), Pose())
    (folder / f"photo{photo.suffix}").write_bytes(photo.data)
    setting = read_setting(str(folder / "target.toml"), None, None)
    capture, _ = measure_bytes("photo", photo.data, setting, False)
    text = capture_text(capture_to_json(capture))
    (folder / "photo.capture.json").write_text(text, "utf-8")
    return folder


COMMANDS: dict[str, tuple[str, ...]] = {
    "build": ("build", "season/season.toml"),
    "demo": ("demo",),
    "target": ("target",),
    "measure": ("measure", "photo.jpg", "--target", "target.toml"),
    "match": ("match", "season/season.toml", "photo.capture.json"),
}


def _run(
    name: str, bench: Path, out: Path, before: Callable[[], None]
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "livery", *COMMANDS[name], "-o", str(out)],
        cwd=bench,
        env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1"},
        preexec_fn=before,
        capture_output=True,
        text=True,
        check=False,
        timeout=500,
    )


@pytest.fixture
def out(tmp_path: Path) -> Iterator[Path]:
    """A folder with earlier results in it."""
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "mine.txt").write_text("mine")
    (folder / "target.pdf").write_text("earlier")
    (folder / "photo.annotated.png").write_text("earlier")
    yield folder
    with suppress(OSError):
        folder.chmod(0o755)


@pytest.mark.parametrize("name", list(COMMANDS))
def test_a_full_disk_is_one_message_and_leaves_all_as_it_was(
    name: str, bench: Path, out: Path
) -> None:
    before = files_of(out)
    done = _run(name, bench, out, _full)
    assert done.returncode == 2, done.stderr
    (told,) = [line for line in done.stderr.splitlines() if line.startswith("livery: ")]
    assert "cannot be written (File too large)" in told
    assert "Traceback" not in done.stderr
    left = files_of(out)
    whole = {file for file, data in left.items() if before.get(file) != data}
    assert {file: left[file] for file in before} == before
    assert not [file for file in whole if file.startswith(".") or len(left[file]) == FULL_AT]


@pytest.mark.parametrize("name", list(COMMANDS))
def test_a_folder_that_cannot_be_written_is_one_message(name: str, bench: Path, out: Path) -> None:
    before = files_of(out)
    out.chmod(0o555)
    done = _run(name, bench, out, _bound)
    assert done.returncode == 2, done.stderr
    (told,) = [line for line in done.stderr.splitlines() if line.startswith("livery: ")]
    assert "cannot be written (Permission denied)" in told
    assert "Traceback" not in done.stderr
    assert files_of(out) == before
