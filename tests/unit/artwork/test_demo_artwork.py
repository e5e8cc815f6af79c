import math
from pathlib import Path

import pytest

from livery.artwork import DecalMaker
from livery.scheme import load_season
from livery.units import pt_to_mm

SCHEME = load_season(Path(__file__).parents[3] / "artwork_demo" / "season.toml")
FIELDS = {"player": "Tamsin Orrowby", "size": "Short handle", "weight": "2 lb 9 oz"}


@pytest.fixture(scope="module")
def decals():
    maker = DecalMaker(SCHEME.palette)
    return {spec.key: maker(spec, FIELDS) for spec in SCHEME.decals}


def test_the_season_has_decals_enough_in_inks_enough(decals):
    assert len(decals) >= 8
    assert len({ink for decal in decals.values() for ink in decal.inks}) >= 4
    assert all(len(decal.inks) >= 3 for decal in decals.values())


def test_curves_and_holes_are_true(decals):
    assert all("C" in decal.outline.verbs for decal in decals.values())
    badge = decals["heron"]
    border = next(region for region in badge.regions if region.ink == "chalk")
    assert len(border.path.polygon().interiors) == 1


@pytest.mark.parametrize("spec", SCHEME.decals, ids=lambda spec: spec.key)
def test_what_prints_stays_inside_the_cut_line(decals, spec):
    decal = decals[spec.key]
    inside = decal.outline.polygon().buffer(0.05)
    for region in decal.regions:
        assert inside.covers(region.path.polygon()), region.ink


@pytest.mark.parametrize("spec", SCHEME.decals, ids=lambda spec: spec.key)
def test_lines_and_letters_can_be_printed(decals, spec):
    regions = decals[spec.key].regions
    lines = [region.thinnest_mm for region in regions if region.thinnest_mm is not None]
    capitals = [region.text_height_mm for region in regions if region.text_height_mm is not None]
    assert lines or capitals
    assert min(lines, default=math.inf) >= SCHEME.profile.min_line_mm
    assert min(capitals, default=math.inf) >= 0.7 * pt_to_mm(SCHEME.profile.min_text_pt)


def test_a_name_of_forty_letters_stays_on_its_strip(decals):
    maker = DecalMaker(SCHEME.palette)
    spec = next(spec for spec in SCHEME.decals if spec.key == "name-strip")
    name = "Wilhelmina Featherstonehaugh-Quellanmarsh"
    decal = maker(spec, FIELDS | {"player": name})
    inside = decal.outline.polygon().buffer(-1.0)
    words = [region for region in decal.regions if region.text_height_mm is not None]
    assert len(words) == 3
    assert all(inside.covers(region.path.polygon()) for region in words)
