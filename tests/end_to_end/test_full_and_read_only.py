"""A disk that is full and a folder that may not be written: one clear error, nothing half done."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest
from bench_day import photograph
from signers import MAKER, SECRET
from small_season import SmallSeason, cut_down
from visitors import Tally, Visitor, copy_season, serving, token_in

from livery.jobs.season_records import open_records
from livery.jobs.survey import survey

# Root may write anywhere; without these powers it obeys a folder's permissions as others do.
AS_OTHERS = (
    ["setpriv", "--bounding-set=-dac_override,-dac_read_search"] if os.geteuid() == 0 else []
)
FULL = ["prlimit", "--fsize=20000"]  # bytes that any one file may have


def say(before: list[str], *words: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*before, sys.executable, "-m", "livery", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "LIVERY_PASSPHRASE": SECRET, "COLUMNS": "200", "NO_COLOR": "1"},
        timeout=300,
    )


def tree(folder: Path) -> dict[str, str]:
    """Every file and what it holds; SQLite's own journal aside."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(("-wal", "-shm"))
    }


def words_of(proof: Path) -> str:
    """What a PDF says."""
    done = subprocess.run(["pdftotext", proof, "-"], capture_output=True, text=True, check=True)
    return done.stdout


def shut(folder: Path, *, to: bool) -> None:
    """Take away or give back leave to write in a folder and all in it."""
    for path in [folder, *folder.rglob("*")]:
        path.chmod((path.stat().st_mode & ~0o222) if to else (path.stat().st_mode | 0o200))


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return cut_down(copy_season(tmp_path_factory.mktemp("full"), 1))


@pytest.fixture(scope="module")
def taken(season: Path) -> tuple[Path, Path, Path]:
    """A photograph, its target and its capture."""
    folder = season.parents[1]
    photo, target = photograph(season, folder, (900, 720))
    assert say([], "measure", photo, "--target", target, "-o", folder / "m").returncode == 0
    return photo, target, next((folder / "m").glob("*.capture.json"))


def commands(season: Path, taken: tuple[Path, Path, Path], out: Path) -> list[tuple[object, ...]]:
    photo, _, capture = taken
    return [
        ("records", "keep", season, photo, capture, "--bat", "Q-101"),
        ("sign", "offer", season, "--order", "Q-101", "--by", MAKER),
        ("records", "backup", season, "-o", out / "kept.tar"),
        ("records", "export", season, "-o", out / "export"),
    ]


@pytest.mark.parametrize("way", ["read-only", "full"])
def test_the_command_line_says_so_once_and_leaves_nothing(
    way: str, season: Path, taken: tuple[Path, Path, Path]
) -> None:
    out = season.parent / "out"
    out.mkdir(exist_ok=True)
    before = tree(season.parent)
    try:
        if way == "read-only":
            shut(season.parent, to=True)
        for number, command in enumerate(commands(season, taken, out)):
            done = say(AS_OTHERS if way == "read-only" else FULL, *command)
            if way == "full" and number == 3:
                continue  # its files are small enough
            assert done.returncode == 2, (command[:2], done.stdout, done.stderr)
            assert "cannot be" in done.stderr
            assert "Traceback" not in done.stderr
            told = [line for line in done.stderr.strip().splitlines() if "\u2501" not in line]
            assert len(told) <= 2, told  # beside how far it had come
    finally:
        shut(season.parent, to=False)
    after = tree(season.parent)
    made = {name for name in after if before.get(name) != after[name]}
    assert not [name for name in made if name.endswith((".livery", ".tar", ".pdf"))]
    assert not [name for name in made if "evidence" in name and len(Path(name).name) != 64]
    store = open_records(season)
    assert store.verify() == ()
    assert [entry.act for entry in store.entries()] == ["trust", "trust"]
    store.close()


def test_a_proof_is_drawn_elsewhere_of_a_season_that_may_not_be_written(tmp_path: Path) -> None:
    season = SmallSeason().write(tmp_path / "season")
    assert say([], "sign", "begin", season, "--by", MAKER).returncode == 0
    order = survey(season).scheme.orders[0].key
    offer = ("sign", "offer", season, "--order", order, "--by", MAKER)
    assert say([], *offer).returncode == 0
    SmallSeason(revision=2, badge=20).write(tmp_path / "season")
    (tmp_path / "out").mkdir()
    proof = ("proof", season, "-o", tmp_path / "out", "--json")
    before = tree(season.parent)
    try:
        shut(season.parent, to=True)
        done = say(AS_OTHERS, *proof)
        assert (done.returncode, done.stderr) == (0, "")
        assert tree(season.parent) == before
        made = words_of(tmp_path / "out" / f"{order}-proof.pdf")
        assert "Before and after are drawn on page" in made
    finally:
        shut(season.parent, to=False)
    (season.parent / "season.records" / "records.sqlite").chmod(0)
    done = say(AS_OTHERS, *proof)
    assert done.returncode == 0
    (told,) = done.stderr.splitlines()
    assert "Changes since what was offered are not listed" in told
    made = words_of(tmp_path / "out" / f"{order}-proof.pdf")
    assert "Before and after" not in made


def test_the_pages_say_so_and_go_on_once_there_is_room(
    season: Path, taken: tuple[Path, Path, Path]
) -> None:
    photo, target, _ = taken
    records = season.parent / "season.records"
    with serving(season, "--target", target, before=AS_OTHERS) as (url, server):
        visitor = Visitor(url, Tally())
        visitor.enter(MAKER, SECRET)
        form = {"csrf": token_in(visitor.get("/bench/Q-101", "bat")), "target": "chart"}
        send = ("/bench/Q-101/photo", "photograph", form, photo.read_bytes())
        before = tree(records)
        try:
            shut(records, to=True)
            page, _ = visitor.send_photo(*send)
            assert "That did not work" in page
            assert "cannot be written" in page
        finally:
            shut(records, to=False)
        assert tree(records) == before
        page, _ = visitor.send_photo(*send)
        assert "The photograph is good." in page
        assert server.poll() is None
        visitor.close()


def test_pages_on_a_full_disk_keep_nothing_by_halves(
    season: Path, taken: tuple[Path, Path, Path]
) -> None:
    photo, target, _ = taken
    records = season.parent / "season.records"
    with serving(season, "--target", target, before=["prlimit", "--fsize=2000000"]) as (url, _):
        visitor = Visitor(url, Tally())
        visitor.enter(MAKER, SECRET)
        form = {"csrf": token_in(visitor.get("/bench/Q-101", "bat")), "target": "chart"}
        before = tree(records)
        large = photo.read_bytes() + bytes(3_000_000)
        page, _ = visitor.send_photo("/bench/Q-101/photo", "photograph", form, large)
        assert "That did not work" in page
        assert tree(records) == before
        assert "Which bat?" in visitor.get("/bench", "choose")
        visitor.close()
