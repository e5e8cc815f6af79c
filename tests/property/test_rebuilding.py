"""Whatever was changed since the last build: what is brought up to date is what is built anew."""

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from folders import files_of
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st
from small_season import SmallSeason
from strategies import small_seasons

from livery.jobs.rebuilding import build_season

BUILT = (Phase.explicit, Phase.generate)  # a build is too slow to shrink by


def _edit(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1] + b"?")


def _empty(path: Path) -> None:
    path.write_bytes(b"")


SPOILS: list[Callable[[Path], None]] = [Path.unlink, _edit, _empty]


@pytest.fixture(scope="module")
def start(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a season and its results."""
    folder = tmp_path_factory.mktemp("rebuilding")
    build_season(SmallSeason().write(folder / "season"), folder / "start")
    return folder


@settings(max_examples=3, phases=BUILT, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    seasons=st.lists(small_seasons(), min_size=1, max_size=1),
    spoilt=st.lists(st.tuples(st.integers(0, 999), st.sampled_from(SPOILS)), max_size=4),
)
@example(seasons=[SmallSeason()], spoilt=[(3, Path.unlink), (7, _edit), (0, _edit), (1, _empty)])
@example(seasons=[SmallSeason(orders={}), SmallSeason()], spoilt=[])
@example(seasons=[SmallSeason(circle=6), SmallSeason()], spoilt=[(5, _edit)])
def test_up_to_date_is_built_anew(
    start: Path, seasons: list[SmallSeason], spoilt: list[tuple[int, Callable[[Path], None]]]
) -> None:
    out, clean = start / "out", start / "clean"
    for folder in (out, clean):
        shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(start / "start", out)
    mine = {"mine.txt": b"mine", "proofs/mine.pdf": b"also mine"}
    for name, data in mine.items():
        (out / name).write_bytes(data)
    for season in seasons:
        names = sorted(files_of(out).keys() - mine.keys())
        spoiling = {names[number % len(names)]: spoil for number, spoil in spoilt}
        for name, spoil in spoiling.items():
            spoil(out / name)
        path = replace(season).write(start / "season")
        build_season(path, out)
    build_season(path, clean)
    found, wanted = files_of(out), files_of(clean)
    for name, data in mine.items():
        assert found.pop(name) == data
    strays = {name for name in found.keys() - wanted.keys() if name in spoiling}
    assert {name: data for name, data in found.items() if name not in strays} == wanted
