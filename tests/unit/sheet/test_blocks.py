from dataclasses import replace

import pytest
from sheets import areas_on, usable_area

from livery.scheme.model import PrintProfile, ThroughCut
from livery.sheet import Nesting, make_sheets
from livery.sheet.blocks import draw_blocks
from livery.sheet.pages import sheet_drawing


def blocks_of(run, sheet):
    return [shape.path.polygon() for shape in draw_blocks(run, sheet, usable_area(run).bounds)]


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
    for sheet in run.sheets:
        (block,) = blocks_of(run, sheet)
        assert usable_area(run).buffer(1e-6).covers(block)
        assert all(block.covers(area.buffer(0.5)) for area in areas_on(run, sheet))


def test_each_kit_has_its_block_and_no_other_s_decal_or_spare(kits):
    items = [item for sheet in kits.sheets for item in sheet.items]
    assert len({item.kit for item in items if item.order}) == 6
    assert [item.decal for item in items if not item.order] == ["badge"]
    for sheet in kits.sheets:
        blocks, areas = blocks_of(kits, sheet), areas_on(kits, sheet)
        for one in range(len(blocks)):
            assert not any(blocks[one].intersects(other) for other in blocks[one + 1 :])
        owner = {}
        for item, area in zip(sheet.items, areas, strict=True):
            holding = [n for n, block in enumerate(blocks) if block.covers(area)]
            assert len(holding) == (1 if item.order else 0)
            crossed = [b for b in blocks if b.boundary.intersects(area)]
            assert crossed == []
            for number in holding:
                assert owner.setdefault(number, item.kit) == item.kit


def test_the_through_cut_is_a_layer_of_its_own(kits):
    layers = {x.kind: x for x in sheet_drawing(kits, kits.sheets[0]).pages[0].layers}
    layer = layers["through-cut"]
    assert layer.name == kits.profile.through_cut_name
    assert len(layer.elements) == len(blocks_of(kits, kits.sheets[0]))
    assert all(s.overprint and s.fill is None and s.stroke for s in layer.elements)
    named = replace(kits, profile=replace(kits.profile, through_cut_name="knife"))
    assert "knife" in [x.name for x in sheet_drawing(named, named.sheets[0]).pages[0].layers]
