"""The demo season's own sheets, made once for all that looks at them."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from livery.drawing import Drawing
from livery.jobs.survey import Survey, survey
from livery.scheme.model import Prints, ThroughCut
from livery.sheet import Sheet, SheetRun, make_sheets, sheet_drawing

SEASON = Path(__file__).parents[2] / "artwork_demo" / "season.toml"
BUILDS = ("ember", "reed")


@pytest.fixture(scope="session")
def demo() -> Survey:
    return survey(SEASON)


@pytest.fixture(scope="session")
def demo_run(demo: Survey) -> SheetRun:
    return make_sheets(demo.scheme, demo.layouts)


@pytest.fixture(scope="session")
def drawn() -> Callable[[SheetRun, Sheet], Drawing]:
    """Draws a run's sheet, each once."""
    return cache(sheet_drawing)


@pytest.fixture(scope="session")
def builds() -> tuple[str, ...]:
    """The inks that ``mixed_run`` prints as builds."""
    return BUILDS


@pytest.fixture(scope="session")
def mixed_run(demo: Survey) -> SheetRun:
    """Two inks as builds; white, varnish and a block cut through."""
    scheme = demo.scheme
    inks = tuple(
        replace(ink, prints=Prints.PROCESS) if ink.key in BUILDS else ink
        for ink in scheme.palette.inks
    )
    profile = replace(scheme.profile, white=True, varnish=True, through_cut=ThroughCut.SHEET)
    scheme = replace(scheme, palette=replace(scheme.palette, inks=inks), profile=profile)
    return make_sheets(scheme, demo.layouts)
