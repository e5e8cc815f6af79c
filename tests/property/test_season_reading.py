"""Whatever a season file holds, it is read or refused with faults; and lines are exact."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import located_toml, spoilt_bytes

from livery.errors import SeasonError
from livery.scheme import load_season
from livery.scheme.locator import KeyPath, locate_keys

ROOT = Path(__file__).parents[2]
SEASON = (ROOT / "artwork_demo" / "season.toml").read_bytes()
PALETTE = (ROOT / "palettes" / "reedlight.toml").read_bytes()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A season's folder whose artwork files exist."""
    base = tmp_path_factory.mktemp("season")
    (base / "artwork_demo" / "decals").mkdir(parents=True)
    (base / "palettes").mkdir()
    for decal in tomllib.loads(SEASON.decode())["decals"]:
        (base / "artwork_demo" / decal["artwork"]).write_bytes(b"<svg/>")
    return base


def read_or_refuse(folder: Path, season: bytes, palette: bytes) -> None:
    (folder / "palettes" / "reedlight.toml").write_bytes(palette)
    path = folder / "artwork_demo" / "season.toml"
    path.write_bytes(season)
    try:
        load_season(path)
    except SeasonError as error:
        assert error.faults
        for fault in error.faults:
            assert fault.found and fault.mend
            assert fault.line is None or fault.line >= 1


@settings(max_examples=60)
@given(season=spoilt_bytes(SEASON))
def test_a_spoilt_season_is_refused_with_faults(folder: Path, season: bytes) -> None:
    read_or_refuse(folder, season, PALETTE)


@settings(max_examples=60)
@given(palette=spoilt_bytes(PALETTE))
def test_a_spoilt_palette_is_refused_with_faults(folder: Path, palette: bytes) -> None:
    read_or_refuse(folder, SEASON, palette)


@settings(max_examples=60)
@given(data=st.data())
def test_a_value_of_any_kind_anywhere_is_refused_with_faults(
    folder: Path, data: st.DataObject
) -> None:
    lines = SEASON.decode().splitlines()
    keyed = [at for at, line in enumerate(lines) if " = " in line and not line.startswith("#")]
    at = data.draw(st.sampled_from(keyed))
    values = ["nan", "-inf", "[]", "{}", "[[1]]", "true", "''", "-1", "1979-05-27", "07:32:00"]
    lines[at] = f"{lines[at].split(' = ')[0]} = {data.draw(st.sampled_from(values))}"
    read_or_refuse(folder, "\n".join(lines).encode(), PALETTE)


@given(located_toml())
def test_every_key_is_on_the_line_it_was_written_on(
    located: tuple[str, dict[KeyPath, int]],
) -> None:
    text, expected = located
    tomllib.loads(text)
    lines = locate_keys(text)
    assert {path: lines.get(path) for path in expected} == expected
