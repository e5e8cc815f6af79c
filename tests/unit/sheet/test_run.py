import dataclasses
from collections import Counter

import pytest
import shapely
from sheets import areas_on, usable_area

from livery.errors import SeasonError
from livery.scheme.model import PrintProfile
from livery.sheet import Nesting, make_sheets
from livery.sheet.inspection import least_gap_mm


@pytest.fixture(scope="module")
def run(shop, layouts):
    return make_sheets(shop.scheme(spares=2), layouts)


def test_every_copy_and_spare_is_on_a_sheet(run):
    counted = Counter(item.decal for sheet in run.sheets for item in sheet.items)
    assert counted["badge"] == 6 + 2
    assert counted["spark"] == 12
    assert counted["roundel"] == 6
    assert counted["name-strip#I. Fenwell"] == 2
    assert sum(item.order == "" for sheet in run.sheets for item in sheet.items) == 2


def test_cut_lines_keep_the_gap_and_both_bleeds(run):
    for sheet in run.sheets:
        assert least_gap_mm(areas_on(run, sheet)) >= 4.0


def test_bleed_stays_in_the_usable_area(run):
    for sheet in run.sheets:
        for area in areas_on(run, sheet):
            assert usable_area(run).covers(area.buffer(run.profile.bleed_mm - 1e-6))


@pytest.mark.parametrize(
    "profile", [PrintProfile(gap_mm=80.0), PrintProfile(bleed_mm=20.0), PrintProfile(bleed_mm=40.0)]
)
def test_wide_spacing_is_kept_round_corners_too(shop, layouts, profile):
    run = make_sheets(shop.scheme(profile), layouts[:1])
    spacing = max(profile.gap_mm, 2.0 * profile.bleed_mm)
    for sheet in run.sheets:
        assert least_gap_mm(areas_on(run, sheet), spacing) >= spacing - 1e-6


def test_lettering_keeps_upright(run):
    for sheet in run.sheets:
        for item in sheet.items:
            if item.decal.startswith("name-strip"):
                assert item.affine.b == item.affine.c == 0.0
                assert item.affine.a == 1.0


def test_same_season_gives_the_same_run(shop, layouts, run):
    again = make_sheets(shop.scheme(spares=2), layouts)
    assert again.content_hash == run.content_hash
    assert [s.items for s in again.sheets] == [s.items for s in run.sheets]


def test_hash_moves_with_whatever_prints(shop, layouts):
    plain = shop.scheme()
    bolder = shop.scheme(PrintProfile(bleed_mm=1.5))
    later = dataclasses.replace(plain, revision=4)
    hashes = {make_sheets(s, layouts[:1]).content_hash for s in (plain, bolder, later)}
    assert len(hashes) == 3
    assert {len(digest) for digest in hashes} == {64}


def test_scaled_and_mirrored_prints_are_told_apart(shop):
    run = make_sheets(
        shop.scheme(),
        [shop.layout("Q-1", "A", scale=0.8), shop.layout("Q-2", "A", mirrored=True)],
    )
    keys = [decal.key for decal in run.decals]
    assert "badge@0.8" in keys
    assert "badge" in keys
    assert "roundel~mirrored" in keys
    mirrored = next(i for s in run.sheets for i in s.items if i.decal == "roundel~mirrored")
    assert mirrored.affine.determinant > 0
    plain = next(i for s in run.sheets for i in s.items if i.decal == "roundel")
    assert plain.affine.determinant < 0


def test_range_layouts_are_not_printed(shop):
    run = make_sheets(shop.scheme(), [shop.layout("", "")])
    assert run.sheets == ()
    assert "no orders" in run.notes[0]


def test_oversize_decals_are_all_named_with_what_fits(shop):
    wide = shop.decal("banner", shop.bar(400, 310), [("tarn", shop.bar(400, 310))])
    long = shop.decal("ribbon", shop.bar(20, 500), [("tarn", shop.bar(20, 500))])
    both = shop.layout("Q-1", "A")
    placements = (shop.placement("a", wide), shop.placement("b", long))
    both = dataclasses.replace(both, placements=placements)
    with pytest.raises(SeasonError) as caught:
        make_sheets(shop.scheme(), [both])
    assert len(caught.value.faults) == 2
    assert "400.0 × 310.0 mm" in str(caught.value)
    assert "largest that fits" in str(caught.value)


def test_kits_kept_together_stand_side_by_side(shop, layouts):
    run = make_sheets(shop.scheme(), layouts, Nesting(kits_together=True))
    for sheet in run.sheets:
        placed = areas_on(run, sheet)
        assert least_gap_mm(placed) >= 4.0
        for order in {item.order for item in sheet.items}:
            mine = [a for a, i in zip(placed, sheet.items, strict=True) if i.order == order]
            hull = shapely.unary_union(mine).envelope
            strangers = [a for a, i in zip(placed, sheet.items, strict=True) if i.order != order]
            assert len(mine) % 5 == 0
            assert not any(hull.intersects(stranger) for stranger in strangers)


def test_many_copies_fill_whole_sheets(shop):
    run = make_sheets(shop.scheme(), [shop.layout("Q-1", "A", copies=60)])
    assert sum(len(sheet.items) for sheet in run.sheets) == 300
    assert run.density > 0.5
