"""The demo season's sheets drawn, and some of them printed otherwise."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from livery.drawing import Drawing
from livery.jobs.survey import Survey
from livery.placement import Placement
from livery.scheme.model import LabColour, Prints, ThroughCut
from livery.sheet import Sheet, SheetRun, make_sheets, sheet_drawing

BUILDS = ("ember", "reed")
NIGHT = ("reed-band", "back-heron", "toe-knot", "edge-run")  # decals printed in inks of their own


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


@pytest.fixture(scope="session")
def foil_run(demo: Survey) -> SheetRun:
    """Sixteen plates: twelve inks on foil, white, varnish and two cuts."""
    scheme = demo.scheme
    profile = replace(
        scheme.profile,
        stock="silver foil",
        white=True,
        varnish=True,
        through_cut=ThroughCut.SHEET,
    )
    inks = scheme.palette.inks
    night = tuple(
        replace(ink, key=f"night-{ink.key}", name=f"Night {ink.name}", lab=_subdued(ink.lab))
        for ink in inks
    )
    palette = replace(scheme.palette, inks=inks + night)
    layouts = tuple(
        replace(layout, placements=tuple(_at_night(one) for one in layout.placements))
        for layout in demo.layouts
    )
    return make_sheets(replace(scheme, palette=palette, profile=profile), layouts)


def _subdued(lab: LabColour) -> LabColour:
    """A colour of the other hue that screens can show."""
    lightness, a, b = lab
    return 0.7 * lightness + 15.0, -0.6 * a, -0.6 * b


def _at_night(placement: Placement) -> Placement:
    """A placement of a decal in its night inks, where it has them."""
    decal = placement.decal
    if decal.key not in NIGHT:
        return placement
    regions = tuple(replace(one, ink=f"night-{one.ink}") for one in decal.regions)
    return replace(placement, decal=replace(decal, regions=regions))
