"""A small season in a folder of its own, to be spoilt by tests."""

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.errors import Fault, SeasonError
from livery.scheme import load_season

SEASON = """\
season = "Short"
palette = "inks.toml"
master_size = "harrow"
rules = ["laws"]

[print]
bleed = "2 mm"

[[bats]]
key = "sedge"
name = "Sedge"
sizes = ["harrow", "size-5"]

[bats.dims.harrow]
spine_height = "58 mm"

[[gloves]]
key = "mitts"
name = "Mitts"
sizes = ["men"]
[[gloves.panels]]
panel = "cuff"
ink = "tarn"
material = "mesh"

[[decals]]
key = "heron"
name = "Heron"
artwork = "heron.svg"
width = "58 mm"
role = "identification"
thickness = "0.15 mm"
text.player = "{player}"

[[placements]]
key = "heron-face"
decal = "heron"
item = "sedge"
surface = "face"
y = "4 in"

[[orders]]
key = "Q-1"
player = "Tamsin Orrowby"
hand = "left"
weight = "2 lb 9 oz"
items = [
  { item = "sedge", size = "harrow" },
  { item = "mitts", size = "men" },
]
"""

PALETTE = """\
name = "Short"
source = "invented"

[[inks]]
key = "tarn"
name = "Tarn"
lab = [27, -3, -30]

[[inks]]
key = "ember"
name = "Ember"
lab = [56, 56, 50]
tolerance = 1.5
"""


@pytest.fixture
def faults_of() -> Callable[[Path], dict[str, Fault]]:
    """Every fault of a season, by its place."""

    def find(path: Path) -> dict[str, Fault]:
        with pytest.raises(SeasonError) as caught:
            load_season(path)
        found = {fault.place: fault for fault in caught.value.faults}
        assert len(found) == len(caught.value.faults)
        return found

    return find


@pytest.fixture
def check_fault(
    write_season: Callable[..., Path], faults_of: Callable[[Path], dict[str, Fault]]
) -> Callable[..., None]:
    """Spoil one place of a season, and see that the fault says where, what and how."""

    def check(season: str, good: str, bad: str, place: str, found: str, mend: str) -> None:
        assert good in season
        text = season.replace(good, bad, 1)
        faults = faults_of(write_season(text))
        assert place in faults, list(faults)
        assert found in faults[place].found
        assert mend in faults[place].mend
        line = faults[place].line
        assert line is not None and 1 <= line <= text.count("\n")

    return check


@pytest.fixture
def season_text() -> str:
    return SEASON


@pytest.fixture
def palette_text() -> str:
    return PALETTE


@pytest.fixture
def write_season(tmp_path: Path) -> Callable[..., Path]:
    """Write a season, its palette and its artwork; the season file's path."""

    def write(season: str | bytes = SEASON, palette: str | bytes = PALETTE) -> Path:
        for name, content in (("season.toml", season), ("inks.toml", palette)):
            data = content.encode("utf-8") if isinstance(content, str) else content
            (tmp_path / name).write_bytes(data)
        (tmp_path / "heron.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>", "utf-8")
        return tmp_path / "season.toml"

    return write
