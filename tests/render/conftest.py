"""The demo season's sheets drawn, and some of them printed otherwise."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from livery.drawing import Drawing
from livery.jobs.survey import Survey
from livery.scheme.model import Prints, ThroughCut
from livery.sheet import Sheet, SheetRun, make_sheets, sheet_drawing

BUILDS = ("ember", "reed")


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
