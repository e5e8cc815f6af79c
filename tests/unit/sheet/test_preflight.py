from dataclasses import replace

import pytest
import shapely

from livery.artwork.model import InkRegion
from livery.geometry import Affine, Path
from livery.placement.model import Layout, Placement
from livery.scheme.model import PrintProfile
from livery.sheet.model import SheetDecal
from livery.sheet.preflight import inspect_decals, inspect_layouts


def check(shop, outline, regions, scale=1.0):
    decal = SheetDecal("d", shop.decal("d", outline, regions), scale, False)
    return {f.rule: f for f in inspect_decals([decal], PrintProfile())}


def rounded(width, height, radius):
    box = shapely.box(
        -width / 2 + radius, -height / 2 + radius, width / 2 - radius, height / 2 - radius
    )
    return Path.from_geometry(box.buffer(radius, quad_segs=32))


def test_a_sound_decal_raises_nothing(shop):
    outline = rounded(40, 30, 3)
    found = check(shop, outline, [("tarn", outline), ("chalk", shop.ellipse(20, 10))])
    assert [f.text for f in found.values() if not f.ok] == []
    assert len(found) == 11


def test_hairline_is_measured(shop):
    line = Path.rectangle(-10, -0.08, 10, 0.08)
    found = check(shop, shop.ellipse(40, 30), [("tarn", line)])["hairline"]
    assert not found.ok
    assert found.measured == pytest.approx(0.16, abs=0.01)
    assert check(shop, shop.ellipse(40, 30), [("tarn", line)], scale=2.0)["hairline"].ok


def test_corners_of_ink_are_no_hairlines(shop):
    assert check(shop, shop.ellipse(60, 60), [("tarn", shop.star(30, 30))])["hairline"].ok


@pytest.mark.parametrize(("radius", "ok"), [(0.0, False), (0.5, False), (1.2, True)])
def test_cut_corner_radius(shop, radius, ok):
    outline = rounded(40, 30, radius) if radius else shop.bar(40, 30)
    found = check(shop, outline, [("tarn", outline)])["sharp-cut-corner"]
    assert found.ok is ok
    if not ok:
        assert found.measured == pytest.approx(radius, abs=0.1)


def test_sharp_notch_in_the_cut_is_found(shop):
    notch = shapely.Polygon([(-2, 16), (2, 16), (0, 8)])
    area = rounded(40, 30, 3).polygon().difference(notch)
    outline = Path.from_geometry(area)
    assert not check(shop, outline, [("tarn", outline)])["sharp-cut-corner"].ok


def test_cut_sliver_and_island(shop):
    area = rounded(40, 30, 3).polygon().union(shapely.box(15, -0.5, 40, 0.5))
    outline = Path.from_geometry(area)
    sliver = check(shop, outline, [("tarn", outline)])["cut-sliver"]
    assert sliver.measured == pytest.approx(1.0, abs=0.05)
    dot = rounded(40, 30, 3) + Path.circle(40, 0, 1.5)
    assert not check(shop, dot, [("tarn", dot)])["cut-island"].ok


def test_ink_clear_of_the_cut_is_named_with_its_colour_area_and_place(shop):
    outline = rounded(40, 30, 3)
    stray = Path.rectangle(30, -14, 34, -12)
    found = check(shop, outline, [("tarn", outline), ("ember", outline + stray)])["ink-outside-cut"]
    assert not found.ok and found.measured == pytest.approx(8.0, abs=0.01)
    assert "8.0 mm² of ember" in found.text and "Decal D" in found.text
    assert "32 mm right of and 13 mm above the decal's middle" in found.text


@pytest.mark.parametrize(("beyond", "lost"), [(0, 0), (2, 0), (4.9, 0), (12, 30 * 7)])
def test_a_ground_may_be_drawn_beyond_the_cut_as_bleed(shop, beyond, lost):
    ground = Path.rectangle(-20, -15, 20 + beyond, 15)
    found = check(shop, shop.bar(40, 30), [("tarn", ground)])["ink-outside-cut"]
    assert found.measured == pytest.approx(lost, rel=0.01) and found.ok is not bool(lost)


def test_lettering_that_the_cut_takes_is_lost_at_once(shop):
    words = InkRegion("tarn", Path.rectangle(-15, -2, 21, 2), 4.0)
    decal = replace(shop.decal("d", shop.bar(40, 30), []), regions=(words,))
    (found,) = (
        f
        for f in inspect_decals([SheetDecal("d", decal, 1.0, False)], PrintProfile())
        if f.rule == "ink-outside-cut"
    )
    assert "4.0 mm² of lettering in tarn" in found.text


def test_speck_of_ink(shop):
    found = check(shop, shop.ellipse(40, 30), [("tarn", shop.bar(0.4, 0.4))])["tiny-island"]
    assert not found.ok
    assert found.measured == pytest.approx(0.16, abs=0.01)


def test_crossing_cut_lines(shop):
    bow = Path.polyline([(-10, -10), (10, 10), (10, -10), (-10, 10)])
    assert not check(shop, bow, [("tarn", bow)])["crossing-cuts"].ok
    two = shop.ellipse(30, 20) + shop.ellipse(20, 30)
    assert not check(shop, two, [("tarn", two)])["crossing-cuts"].ok


def test_ink_that_stops_short_of_the_cut(shop):
    found = check(shop, shop.bar(40, 30), [("tarn", shop.bar(39, 29))])
    assert not found["missing-bleed"].ok
    assert found["missing-bleed"].measured > 100
    assert not found["safe-margin"].ok
    assert found["safe-margin"].measured == pytest.approx(0.5, abs=0.01)


def test_ink_that_crosses_the_cut_at_an_angle_is_sound(shop):
    found = check(shop, shop.bar(40, 30), [("tarn", shop.bar(60, 10))])
    assert found["missing-bleed"].ok


def test_ink_well_inside_is_sound(shop):
    found = check(shop, shop.bar(40, 30), [("tarn", shop.bar(20, 10))])
    assert found["missing-bleed"].ok
    assert found["safe-margin"].ok


def test_mirrored_frame_changes_no_measure(shop):
    outline = shop.shield(58, 64).transformed(Affine.scaling(0.5))
    decal = shop.decal("d", outline, [("tarn", outline)])
    plain, other = (
        inspect_decals([SheetDecal("d", decal, 1.0, m)], PrintProfile()) for m in (False, True)
    )
    assert [f.measured for f in plain] == pytest.approx([f.measured for f in other], abs=1e-3)


def test_an_open_path_is_named(shop):
    decal = shop.decal("d", shop.ellipse(40, 30), [("tarn", shop.bar(10, 10))])
    left_open = replace(decal, regions=(replace(decal.regions[0], closed=False),))
    found = {
        f.rule: f for f in inspect_decals([SheetDecal("d", left_open, 1, False)], PrintProfile())
    }["open-path"]
    assert not found.ok
    assert "tarn" in found.text
    assert check(shop, shop.ellipse(40, 30), [("tarn", shop.bar(10, 10))])["open-path"].ok


def test_an_overlap_that_leaves_a_sliver_of_ink_is_found(shop):
    regions = [("tarn", shop.bar(20, 10)), ("ember", shop.bar(20, 9.7))]
    found = check(shop, shop.ellipse(60, 40), regions)["sliver"]
    assert not found.ok
    assert found.measured == pytest.approx(0.15, abs=0.01)
    assert "tarn" in found.text


def test_a_sliver_of_stock_between_inks_is_found(shop):
    left, right = Path.rectangle(-10, -5, 0, 5), Path.rectangle(0.2, -5, 10, 5)
    found = check(shop, shop.ellipse(60, 40), [("tarn", left), ("ember", right)])["sliver"]
    assert found.measured == pytest.approx(0.2, abs=0.01)
    assert "bare stock" in found.text


def test_inks_that_meet_leave_no_sliver(shop):
    left, right = Path.rectangle(-10, -5, 0, 5), Path.rectangle(0, -5, 10, 5)
    assert check(shop, shop.ellipse(60, 40), [("tarn", left), ("ember", right)])["sliver"].ok


def test_ink_hidden_under_the_same_ink_is_not_near_the_cut(shop):
    hidden = Path.rectangle(15, -5, 18.5, 5)
    found = check(shop, shop.bar(40, 30), [("tarn", shop.bar(40, 30)), ("tarn", hidden)])
    assert found["safe-margin"].ok


def test_layouts_are_inspected_once_a_size_whatever_the_names(shop, layouts):
    found = inspect_layouts(layouts, PrintProfile())
    assert len(found) == 11 * 4
    assert len({f.subject for f in found}) == 4
    assert not any("#" in f.subject or "@" in f.subject for f in found)


def test_every_name_that_runs_over_its_cut_line_is_told(shop, layouts):
    item = layouts[0].item
    outline = shop.bar(70, 12)

    def strip(name, half):
        words = InkRegion("chalk", Path.rectangle(-half, -2, half, 2), 4.0)
        decal = shop.decal(f"strip#{name}", outline, [("tarn", outline)], texts=[("player", name)])
        decal = replace(decal, regions=(*decal.regions, words))
        return Layout(item, (Placement("p", decal, "face", Affine(), 1.0),), (), name)

    found = inspect_layouts(
        [strip("Al", 9), strip("Long", 40), strip("Longer", 50)], PrintProfile()
    )
    (told,) = (f for f in found if f.rule == "ink-outside-cut")
    assert told.subject == "Strip “Longer”" and told.text.endswith("So it is with “Long”.")
