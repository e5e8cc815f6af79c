import math

import pytest

from livery.scheme.model import PrintProfile
from livery.sheet import make_sheets
from livery.sheet.papers import list_picks, sum_areas


@pytest.fixture(scope="module")
def run(shop):
    layouts = [shop.layout("Q-1", "A", 2), shop.layout("Q-2", "B")]
    return make_sheets(shop.scheme(PrintProfile(white=True), spares=1), layouts)


def test_pick_list_holds_every_item_once(run):
    picks = list_picks(run)
    assert sum(p.quantity for p in picks) == sum(len(s.items) for s in run.sheets)
    assert picks[-1].order == ""
    sparks = [p for p in picks if p.order == "Q-1" and p.decal == "spark"]
    assert sum(p.quantity for p in sparks) == 4
    assert {place for p in sparks for place in p.placements} == {"spark-left", "spark-right"}


def test_areas_count_knock_outs_once(run):
    areas = sum_areas(run)
    ellipse = math.pi / 4 * 44 * 28
    hole = math.pi / 4 * 20 * 12
    badge = run.decals[0].decal.outline.polygon().area
    disc = math.pi / 4 * 26 * 30
    inks = dict(areas.inks)
    assert inks["ember"] == pytest.approx(3 * (ellipse - hole) + 4 * (badge - disc) / 2, rel=2e-3)
    assert sum(inks.values()) == pytest.approx(areas.white, rel=1e-6)
    assert areas.stock == len(run.sheets) * 320 * 450
    assert areas.varnish == 0.0
    assert areas.decals == pytest.approx(areas.white, rel=1e-3)
