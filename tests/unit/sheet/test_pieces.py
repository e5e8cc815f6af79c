from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from pdf_walk import walk
from sheets import areas_on, usable_area

from livery.drawing import LayerKind
from livery.errors import SeasonError
from livery.geometry import Affine
from livery.output import render_pdf
from livery.scheme.model import PrintProfile, ThroughCut
from livery.sheet import Nesting, make_sheets
from livery.sheet.pages import run_drawing, sheet_drawing
from livery.sheet.pieces import liner_piece
from livery.sheet.slug import slug_lines

TABS = PrintProfile(peel_tab_mm=8.0)
FRAME = PrintProfile(weeding_margin_mm=5.0)


def layer_of(run, sheet, kind):
    layers = [x for x in sheet_drawing(run, sheet).pages[0].layers if x.kind is kind]
    return layers[0].elements if layers else ()


def pieces(run, sheet):
    """Pieces of liner as they are drawn on a sheet."""
    symbols = {s.key: s.elements[0].path for s in sheet_drawing(run, sheet).symbols}
    uses = layer_of(run, sheet, LayerKind.THROUGH_CUT)
    return [symbols[use.symbol].transformed(use.affine).polygon(0.005) for use in uses]


@pytest.fixture(scope="module")
def tabbed(shop, layouts):
    return make_sheets(shop.scheme(TABS, spares=1), layouts)


@pytest.fixture(scope="module")
def framed(shop, layouts):
    return make_sheets(shop.scheme(FRAME, spares=1), layouts)


def test_each_decal_has_a_piece_of_liner_with_a_tab(tabbed):
    for sheet in tabbed.sheets:
        areas, cut = areas_on(tabbed, sheet), pieces(tabbed, sheet)
        assert len(cut) == len(sheet.items)
        for area, piece in zip(areas, cut, strict=True):
            assert piece.geom_type == "Polygon"
            assert piece.covers(area.buffer(1.95))
            tab = piece.difference(area.buffer(2.1))
            (tab,) = (part for part in shapely.get_parts(tab) if part.area > 1.0)
            assert tab.area == pytest.approx(64.0, rel=0.1)


def test_a_tab_stands_at_the_end_of_the_longer_side(shop):
    across, up = (shop.bar(*size).polygon() for size in ((60, 20), (20, 60)))
    assert liner_piece(across, TABS).bounds == pytest.approx((-32, -12, 40, 12), abs=0.02)
    assert liner_piece(up, TABS).bounds == pytest.approx((-12, -40, 12, 32), abs=0.02)


def test_loose_parts_get_a_tab_each(shop):
    pair = [shop.bar(20, 10).transformed(Affine.translation(0, y)).polygon() for y in (0, 40)]
    parts = shapely.get_parts(liner_piece(shapely.MultiPolygon(pair), TABS))
    assert [part.bounds[2] for part in parts] == pytest.approx([20, 20], abs=0.02)


def test_what_is_cut_through_keeps_the_gap_and_the_edge(tabbed):
    for sheet in tabbed.sheets:
        cut = pieces(tabbed, sheet)
        assert all(usable_area(tabbed).buffer(0.01).covers(piece) for piece in cut)
        assert min(one.distance(other) for one, other in combinations(cut, 2)) >= 2.98


@pytest.mark.parametrize("roll", [False, True])
def test_kits_and_rolls_keep_their_tabs_apart(shop, layouts, roll):
    profile = replace(TABS, roll=roll, stock_height_mm=900.0 if roll else 450.0)
    run = make_sheets(shop.scheme(profile), layouts[:2], Nesting(kits_together=True))
    for sheet in run.sheets:
        cut = pieces(run, sheet)
        assert min(one.distance(other) for one, other in combinations(cut, 2)) >= 2.98
        assert max(piece.bounds[3] for piece in cut) < sheet.height_mm - 9.9


def test_liners_are_cut_through_on_a_plate_and_layer_of_their_own(tabbed):
    sheet = tabbed.sheets[0]
    painted = walk(render_pdf(sheet_drawing(tabbed, sheet)))
    through = [p for p in painted if p.ink == TABS.through_cut_name]
    assert len(through) == len(sheet.items)
    assert {(p.what, p.overprint, p.step) for p in through} == {
        ("stroke", True, ("Structural", "Cutting"))
    }
    assert len([p for p in painted if p.ink == TABS.cut_name]) == len(sheet.items)
    assert any(TABS.through_cut_name in line for line in slug_lines(tabbed, sheet))


def test_without_the_wish_there_is_neither(plain_run):
    page, sheet = run_drawing(plain_run).pages[0], plain_run.sheets[0]
    assert all(layer.kind is not LayerKind.THROUGH_CUT for layer in page.layers)
    assert len(layer_of(plain_run, sheet, LayerKind.KISS_CUT)) == len(sheet.items)


def test_a_frame_bounds_the_waste_in_one_piece(framed):
    for sheet in framed.sheets:
        *_, drawn = layer_of(framed, sheet, LayerKind.KISS_CUT)
        assert drawn.name == "weeding frame"
        frame, areas = drawn.path.polygon(), areas_on(framed, sheet)
        assert usable_area(framed).buffer(0.01).covers(frame)
        gap = min(area.distance(frame.boundary) for area in areas)
        assert gap == pytest.approx(5.0, abs=0.02)
        waste = frame.difference(shapely.union_all(areas))
        assert waste.geom_type == "Polygon"
        assert len(waste.interiors) == len(areas)


def test_a_block_cut_through_is_the_frame(shop, layouts):
    profile = replace(FRAME, through_cut=ThroughCut.SHEET)
    run = make_sheets(shop.scheme(profile), layouts[:2])
    for sheet in run.sheets:
        (block,) = layer_of(run, sheet, LayerKind.THROUGH_CUT)
        boundary = block.path.polygon().boundary
        gap = min(area.distance(boundary) for area in areas_on(run, sheet))
        assert gap == pytest.approx(5.0, abs=0.02)
        assert len(layer_of(run, sheet, LayerKind.KISS_CUT)) == len(sheet.items)


def test_a_margin_that_leaves_no_room_is_refused_once(shop, layouts):
    with pytest.raises(SeasonError) as caught:
        make_sheets(shop.scheme(replace(FRAME, weeding_margin_mm=180.0)), layouts)
    (fault,) = caught.value.faults
    assert "weeding margin of 180 mm" in fault.found
    assert "larger stock" in fault.mend


def test_a_tab_that_no_sheet_holds_is_refused_by_name(shop):
    strip = shop.decal("strip", shop.bar(20, 360), [("tarn", shop.bar(20, 360))])
    placements = (shop.placement("a", strip),)
    layout = replace(shop.layout("Q-1", "A"), placements=placements)
    assert make_sheets(shop.scheme(), [layout]).sheets
    with pytest.raises(SeasonError) as caught:
        make_sheets(shop.scheme(replace(TABS, peel_tab_mm=60.0)), [layout])
    assert "tab of 60 mm" in str(caught.value)
