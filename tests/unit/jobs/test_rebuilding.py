"""What has not changed is left; what has is made anew; nothing stale is ever taken for good."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from folders import files_of
from small_season import SmallSeason

from livery.crew.cores import Cores
from livery.jobs import making, rebuilding
from livery.jobs.rebuilding import BuildOptions, Built, build_season


class Bench:
    """A season, its results, and how many tasks a build took."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.out = folder / "out"
        self.tasks = 0

    def build(self, season: SmallSeason, out: str = "work", **options: object) -> Built:
        counts: dict[str, int] = {}
        built = build_season(
            season.write(self.folder / "season"),
            self.folder / out,
            BuildOptions(**options),  # type: ignore[arg-type]
            watch=lambda stage, done, total: counts.update({stage: done}),
        )
        self.tasks = sum(count for stage, count in counts.items() if "drawing" in stage)
        return built


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """With one build done."""
    made = Bench(tmp_path_factory.mktemp("rebuilding"))
    made.build(SmallSeason(), "out")
    return made


@pytest.fixture
def bench(built: Bench) -> Bench:
    """The same, to be spoilt."""
    for name in ("work", "clean"):
        shutil.rmtree(built.folder / name, ignore_errors=True)
    shutil.copytree(built.folder / "out", built.folder / "work")
    built.out = built.folder / "work"
    return built


def test_a_season_unchanged_is_not_even_read(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    before = files_of(bench.out)
    monkeypatch.setattr(rebuilding, "_make", None)
    built = bench.build(SmallSeason())
    assert built.unchanged
    assert files_of(bench.out) == before
    listed = {name.as_posix() for name in built.files}
    assert listed | {making.RECORD.as_posix(), ".livery-files.json"} == set(before)


def _edit(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b" ")


def _reword(path: Path) -> None:
    """What tasks said, so that it makes no sense."""
    text = path.read_text("utf-8")
    assert '"words": "{' in text
    path.write_text(text.replace('"words": "{', '"words": "'), "utf-8")


@pytest.mark.parametrize(
    ("name", "spoil"),
    [
        ("proofs/Q-1-proof.pdf", Path.unlink),
        ("sheets/sheet-001.svg", _edit),
        ("sheets/sheets.pdf", _edit),
        ("index.html", _edit),
        (".livery-build.json", _edit),
        (".livery-build.json", _reword),
        (".livery-build.json", Path.unlink),
        (".livery-files.json", _edit),
    ],
)
def test_what_was_edited_or_deleted_by_hand_is_made_anew(
    bench: Bench, name: str, spoil: Callable[[Path], None]
) -> None:
    before = files_of(bench.out)
    spoil(bench.out / name)
    built = bench.build(SmallSeason())
    assert not built.unchanged
    assert files_of(bench.out) == before


@pytest.mark.parametrize(
    ("season", "tasks"),
    [
        (SmallSeason(price=2.0), 1),  # the order papers
        (SmallSeason(orders={"Q-1": "Ada Reed", "Q-2": "Bram Low"}), 3),  # one order, its sheet
    ],
)
def test_only_what_depends_on_a_change_is_made_anew(
    bench: Bench, season: SmallSeason, tasks: int
) -> None:
    bench.build(season)
    assert bench.tasks == tasks
    bench.build(season, "clean")
    assert bench.tasks == 8
    assert files_of(bench.out) == files_of(bench.folder / "clean")


def test_what_is_no_longer_made_goes_and_what_is_the_users_stays(bench: Bench) -> None:
    (bench.out / "proofs" / "mine.txt").write_text("mine")
    _edit(bench.out / "cards" / "Q-2-card.pdf")
    edited = (bench.out / "cards" / "Q-2-card.pdf").read_bytes()
    season = SmallSeason(orders={"Q-1": "Ada Reed"})
    bench.build(season)
    bench.build(season, "clean")
    assert not (bench.out / "proofs" / "Q-2-proof.pdf").exists()
    assert not (bench.out / "templates" / "Q-2-template.pdf").exists()
    left = files_of(bench.out)
    assert left.pop("proofs/mine.txt") == b"mine"
    assert left.pop("cards/Q-2-card.pdf") == edited
    assert left == files_of(bench.folder / "clean")


def test_options_and_code_count(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    assert not bench.build(SmallSeason(), address="http://bench.example").unchanged
    assert bench.tasks == 2  # the cards
    assert bench.build(SmallSeason(), address="http://bench.example").unchanged
    for module in (rebuilding, making):
        monkeypatch.setattr(module, "code_fingerprint", lambda: "another day's code")
    assert not bench.build(SmallSeason(), address="http://bench.example").unchanged
    assert bench.tasks == 8


def test_a_failed_build_leaves_all_as_it_was(bench: Bench) -> None:
    before = files_of(bench.out)
    with pytest.raises(ValueError, match=r"larger|mm"):
        bench.build(SmallSeason(stock=60, badge=59))
    assert files_of(bench.out) == before
    assert bench.build(SmallSeason()).unchanged


def test_inputs_changed_while_building_are_not_recorded(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    badge = bench.folder / "season" / "badge.svg"
    real = making.Workbench.do

    def slow(self: making.Workbench, *given: object) -> list[making.Kept]:
        badge.write_text(badge.read_text("utf-8").replace('r="6"', 'r="7"'), "utf-8")
        return real(self, *given)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(making.Workbench, "do", slow)
        bench.build(SmallSeason(circle=6))
    assert not bench.build(SmallSeason(circle=7)).unchanged
    bench.build(SmallSeason(circle=7), "clean")
    assert files_of(bench.out) == files_of(bench.folder / "clean")


@pytest.mark.parametrize(
    "record",
    [
        "",
        "[]",
        "{}",
        "null",
        '{"format": 1, "tasks": []}',
        '{"format": 1, "tasks": {"x": 1}}',
        '{"format": 1, "tasks": {}, "inputs": 3}',
        '{"format": 1, "tasks": {}, "files": [], "asked": 1, "extra": 2}',
        '{"format": 2, "tasks": {}}',
        "[" * 100_000,
    ],
)
def test_a_record_of_another_make_is_no_record(tmp_path: Path, record: str) -> None:
    (tmp_path / making.RECORD).write_text(record)
    assert making.read_record(tmp_path) is None


def test_a_forged_record_takes_nothing_from_elsewhere(bench: Bench) -> None:
    (bench.folder / "secret").write_text("secret")
    record = json.loads((bench.out / making.RECORD).read_text("utf-8"))
    for task in record["tasks"].values():
        task["files"][0][0] = "../secret"
    record["asked"] = ""
    (bench.out / making.RECORD).write_text(json.dumps(record))
    before = (bench.folder / "secret").read_text()
    bench.build(SmallSeason())
    bench.build(SmallSeason(), "clean")
    assert files_of(bench.out) == files_of(bench.folder / "clean")
    assert (bench.folder / "secret").read_text() == before


def test_two_processes_leave_the_same_bytes_as_one(bench: Bench) -> None:
    season = SmallSeason().write(bench.folder / "season")
    build_season(season, bench.folder / "two", crew=Cores(2))
    assert files_of(bench.folder / "two") == files_of(bench.out)
