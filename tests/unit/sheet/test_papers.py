import math
from dataclasses import replace

import pytest

from livery.scheme.model import PrintProfile, Prints
from livery.sheet import make_sheets
from livery.sheet.builds import build_ink
from livery.sheet.papers import list_costs, list_picks, measure_decal, sum_areas


@pytest.fixture(scope="module")
def run(shop):
    layouts = [shop.layout("Q-1", "A", 2), shop.layout("Q-2", "B")]
    return make_sheets(shop.scheme(PrintProfile(white=True), spares=1), layouts)


def _areas(run):
    return sum_areas(run, {decal.key: measure_decal(decal) for decal in run.decals})


def test_pick_list_holds_every_item_once(run):
    picks = list_picks(run)
    assert sum(p.quantity for p in picks) == sum(len(s.items) for s in run.sheets)
    assert picks[-1].order == ""
    sparks = [p for p in picks if p.order == "Q-1" and p.decal == "spark"]
    assert sum(p.quantity for p in sparks) == 4
    assert {place for p in sparks for place in p.placements} == {"spark-left", "spark-right"}


def test_areas_count_knock_outs_once(run):
    areas = _areas(run)
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


def test_builds_share_their_area_among_the_process_inks(run):
    inks = tuple(
        replace(i, prints=Prints.PROCESS) if i.key == "ember" else i for i in run.palette.inks
    )
    mixed = replace(run, palette=replace(run.palette, inks=inks))
    areas, build = _areas(mixed), build_ink(mixed.palette.ink("ember"), run.profile)
    ember = dict(areas.inks)["ember"]
    process = dict(areas.process)
    assert process["Magenta"] == pytest.approx(ember * build.cmyk[1])
    assert process["Black"] == pytest.approx(ember * build.cmyk[3])
    names = [line.what for line in list_costs(mixed, areas)]
    assert "Ember" not in names
    assert {"Cyan", "Magenta", "Yellow", "Black", "Tarn"} <= set(names)
    assert _areas(run).process == ()


def test_costs_are_amounts_at_the_profile_s_prices(run):
    profile = replace(run.profile, price_stock_m2=12.0, price_white_m2=5.0)
    priced = replace(run, profile=profile)
    areas = _areas(priced)
    costs = {line.what: line for line in list_costs(priced, areas)}
    stock = costs[profile.stock]
    assert stock.cost == pytest.approx(12.0 * areas.stock / 1e6)
    assert costs[profile.white_name].cost == pytest.approx(5.0 * areas.white / 1e6)
    assert costs["Tarn"].cost is None
    assert costs["separations"].amount == len(areas.inks) + 1
    assert all(line.cost is None for line in list_costs(run, areas))
