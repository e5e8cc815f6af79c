import pytest
import shapely

from livery.geometry import Path
from livery.sheet.bleed import edge_inks, extend_edges
from livery.sheet.model import SheetDecal
from livery.sheet.regions import print_artwork
from livery.sheet.trap import spread_edges


def artwork(shop, outline, regions):
    return print_artwork(SheetDecal("d", shop.decal("d", outline, regions), 1.0, False))


def test_one_ink_at_the_edge_runs_on_all_round(shop):
    art = artwork(shop, shop.ellipse(40, 20), [("tarn", shop.ellipse(40, 20))])
    ((ink, area),) = extend_edges(art, 2.0)
    assert ink == "tarn"
    band = art.outline.buffer(2.0).difference(art.outline)
    assert band.difference(area).area < 1e-6
    assert area.within(art.outline.buffer(2.001))


def test_two_inks_share_the_band_where_they_meet(shop):
    square = shop.bar(40, 40)
    right = Path.rectangle(0, -20, 20, 20)
    art = artwork(shop, square, [("tarn", square), ("ember", right)])
    found = dict(extend_edges(art, 2.0))
    band = art.outline.buffer(2.0).difference(art.outline)
    assert shapely.union_all(list(found.values())).intersection(band).area == pytest.approx(
        band.area, rel=1e-6
    )
    ember = found["ember"].difference(art.outline)
    tarn = found["tarn"].difference(art.outline)
    assert ember.intersection(tarn).area < 1e-6
    assert ember.bounds[0] == pytest.approx(0.0, abs=0.02)
    assert ember.area == pytest.approx(tarn.area, rel=0.01)


@pytest.mark.parametrize("size", [(180, 40), (62, 120), (50.5, 157.9)])
def test_a_stripe_between_parallels_bleeds_where_it_meets_the_cut_alone(shop, size):
    ground, stripe = shop.bar(*size), shop.bar(size[0], 10)
    art = artwork(shop, ground, [("tarn", ground), ("ember", stripe)])
    found = dict(extend_edges(art, 2.0))
    ember, tarn = (found[ink].difference(art.outline) for ink in ("ember", "tarn"))
    assert ember.intersection(tarn).area < 1e-6
    assert ember.area == pytest.approx(2 * 2.0 * 10.0, rel=0.01)
    band = art.outline.buffer(2.0).difference(art.outline)
    assert ember.area + tarn.area == pytest.approx(band.area, rel=1e-6)


def test_bare_stock_at_the_edge_has_no_bleed(shop):
    art = artwork(shop, shop.bar(40, 40), [("tarn", shop.bar(40, 20))])
    ((_, area),) = extend_edges(art, 2.0)
    beyond = area.difference(art.outline)
    assert beyond.bounds[1] > -10.2
    assert beyond.bounds[3] < 10.2
    assert extend_edges(artwork(shop, shop.bar(40, 40), [("tarn", shop.bar(30, 30))]), 2.0) == []


def test_a_covered_ink_does_not_bleed(shop):
    square = shop.bar(40, 40)
    art = artwork(shop, square, [("tarn", square), ("ember", square)])
    assert [ink for ink, _ in edge_inks(art)] == ["ember"]


def test_bleed_stays_at_true_size_when_the_decal_is_scaled(shop):
    decal = shop.decal("d", shop.ellipse(40, 20), [("tarn", shop.ellipse(40, 20))])
    art = print_artwork(SheetDecal("d", decal, 0.5, True))
    ((_, area),) = extend_edges(art, 2.0)
    assert area.bounds == pytest.approx((-12, -7, 12, 7), abs=0.01)


@pytest.mark.parametrize(("top", "spread_into"), [("chalk", "tarn"), ("tarn", "chalk")])
def test_the_lighter_ink_spreads_into_the_darker(shop, top, spread_into):
    under = "tarn" if top == "chalk" else "chalk"
    regions = [(under, shop.bar(40, 40)), (top, shop.ellipse(20, 20))]
    art = artwork(shop, shop.bar(40, 40), regions)
    (trap,) = spread_edges(art, {"chalk": 93.0, "tarn": 30.0}, 0.1)
    assert trap.ink == "chalk"
    disc = shop.ellipse(20, 20).polygon(0.005)
    parts = trap.area.intersection(disc).area, trap.area.difference(disc).area
    spread, lap = parts if spread_into == "chalk" else parts[::-1]
    assert spread == pytest.approx(62.8 * 0.1, rel=0.03)
    assert lap == pytest.approx(62.8 * 0.02, rel=0.03)


def test_no_stock_shows_between_a_trap_and_its_own_ink(shop):
    regions = [("tarn", shop.bar(40, 40)), ("chalk", shop.ellipse(20, 20))]
    art = artwork(shop, shop.bar(40, 40), regions)
    (trap,) = spread_edges(art, {"chalk": 93.0, "tarn": 30.0}, 0.1)
    drawn = trap.area.simplify(0.01)
    for tolerance in (0.0005, 0.005):
        disc = regions[1][1].polygon(tolerance)
        whole = disc.union(drawn)
        assert whole.geom_type == "Polygon"
        assert not whole.interiors


def test_no_trap_asked_for_none_made(shop):
    art = artwork(shop, shop.bar(40, 40), [("tarn", shop.bar(40, 40)), ("ember", shop.bar(9, 9))])
    assert spread_edges(art, {"ember": 58.0, "tarn": 30.0}, 0.0) == []
