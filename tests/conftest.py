"""Settings and inputs shared by all tests."""

from __future__ import annotations

import os
import shutil
import signal
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True, database=None, max_examples=50)
settings.load_profile("steady")

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "tests" / "support"))  # helpers that rooms share: walkers, rasters

from folders import copy_demo  # noqa: E402 (found by the line above)
from small_season import cut_down  # noqa: E402 (so is this)

if TYPE_CHECKING:
    from livery.jobs.survey import Survey
    from livery.sheet import SheetRun


@pytest.fixture(scope="session")
def demo() -> Survey:
    """The demonstration season and all found about it, once for all that looks at it."""
    from livery.jobs.survey import survey

    return survey(ROOT / "artwork_demo" / "season.toml")


@pytest.fixture(scope="session")
def demo_run(demo: Survey) -> SheetRun:
    """The demonstration season's sheets."""
    from livery.sheet import make_sheets

    return make_sheets(demo.scheme, demo.layouts)


@pytest.fixture
def demo_season(tmp_path: Path) -> Path:
    """A copy of the demo season that a test may change; the season file's path."""
    return copy_demo(tmp_path)


@pytest.fixture
def lean_season(demo_season: Path) -> Path:
    """The demo season cut to one size of each thing and one order, where more shows no more."""
    return cut_down(demo_season)


@pytest.fixture
def invented_cup(tmp_path: Path) -> Path:
    """The competition's shape, filled with figures invented for these tests alone."""
    shape = (ROOT / "livery" / "data" / "rules" / "competition.toml").read_text("utf-8")
    figures = {'area = "to be filled"': 'area = "8 sq in"', 'count = "to be filled"': "count = 2"}
    for unfilled, figure in figures.items():
        assert unfilled in shape
        shape = shape.replace(unfilled, figure)
    shape = shape.replace("Regulations of a competition", "Invented for a test: regulations")
    (tmp_path / "invented-cup.toml").write_text(shape, "utf-8")
    return tmp_path / "invented-cup.toml"


@pytest.fixture
def soon() -> Iterator[None]:
    """What hangs ends in an error."""

    def stop(number: int, frame: object) -> None:
        raise AssertionError("it takes far longer than anyone waits")

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(30)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


def need(tool: str) -> str:
    """The path of a system tool; where CI runs, one that is missing fails."""
    found = shutil.which(tool)
    if found is None:
        message = f"{tool} is not installed: bash .ci/test installs it"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return found


@pytest.fixture(scope="session")
def ghostscript() -> str:
    """Ghostscript's path."""
    return need("gs")


@pytest.fixture(scope="session")
def qpdf() -> str:
    """qpdf's path."""
    return need("qpdf")


@pytest.fixture(scope="session")
def rsvg_convert() -> str:
    """librsvg's converter."""
    return need("rsvg-convert")


@pytest.fixture(scope="session")
def chromium() -> str:
    """Chromium's path."""
    return need("chromium")


@pytest.fixture(scope="session")
def pdftoppm() -> str:
    """Poppler's converter."""
    return need("pdftoppm")
