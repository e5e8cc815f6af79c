from dataclasses import replace

import pytest
import shapely

from livery.scheme.model import PrintProfile, ThroughCut
from livery.sheet import Nesting, make_sheets
from livery.sheet.blocks import draw_blocks
from livery.sheet.inspection import cut_areas
from livery.sheet.pages import sheet_drawing
from livery.sheet.preparation import sheet_frame
from livery.sheet.slug import run_inks


def blocks_of(run, sheet):
    usable = sheet_frame(run.profile, run.palette, run_inks(run)).usable
    return [shape.path.polygon() for shape in draw_blocks(run, sheet, usable)]


def outlines(run, sheet):
    return cut_areas(sheet, {d.key: d.decal.outline.polygon() for d in run.decals})


@pytest.fixture(scope="module")
def kits(shop, layouts):
    profile = PrintProfile(through_cut=ThroughCut.KITS)
    return make_sheets(shop.scheme(profile, spares=1), layouts, Nesting(kits_together=True))


def test_nothing_is_cut_through_unless_asked(plain_run):
    sheets = plain_run.sheets
    assert all(blocks_of(plain_run, sheet) == [] for sheet in sheets)
    layers = sheet_drawing(plain_run, sheets[0]).pages[0].layers
    assert "through-cut" not in [layer.kind for layer in layers]


def test_one_block_holds_all_of_a_sheet(shop, layouts):
    run = make_sheets(shop.scheme(PrintProfile(through_cut=ThroughCut.SHEET)), layouts)
    usable = shapely.box(*sheet_frame(run.profile, run.palette, run_inks(run)).usable)
    for sheet in run.sheets:
        (block,) = blocks_of(run, sheet)
        assert usable.buffer(1e-6).covers(block)
        assert all(block.covers(area.buffer(0.5)) for area in outlines(run, sheet))


def test_each_kit_has_its_block_and_no_other_s_decal(kits):
    for sheet in kits.sheets:
        blocks, areas = blocks_of(kits, sheet), outlines(kits, sheet)
        for one in range(len(blocks)):
            assert not any(blocks[one].intersects(other) for other in blocks[one + 1 :])
        owner = {}
        for item, area in zip(sheet.items, areas, strict=True):
            holding = [n for n, block in enumerate(blocks) if block.covers(area)]
            assert len(holding) == (1 if item.kit else 0)
            crossed = [b for b in blocks if b.boundary.intersects(area)]
            assert crossed == []
            for number in holding:
                assert owner.setdefault(number, item.kit) == item.kit


def test_spares_stand_outside_every_block(kits):
    spares = [i for sheet in kits.sheets for i in sheet.items if not i.order]
    assert spares
    assert all(item.kit == "" for item in spares)


def test_the_through_cut_is_a_layer_of_its_own(kits):
    layers = {x.kind: x for x in sheet_drawing(kits, kits.sheets[0]).pages[0].layers}
    layer = layers["through-cut"]
    assert layer.name == kits.profile.through_cut_name
    assert all(s.overprint and s.fill is None and s.stroke for s in layer.elements)
    named = replace(kits, profile=replace(kits.profile, through_cut_name="knife"))
    assert "knife" in [x.name for x in sheet_drawing(named, named.sheets[0]).pages[0].layers]
