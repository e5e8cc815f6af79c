"""Drawings of surfaces and of whole kit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.affinity import affine_transform
from shapely.affinity import scale as scaled

from livery.drawing import Label, LabPaint, Shape
from livery.kit import (
    BatView,
    build_bat,
    build_gloves,
    build_pads,
    draw_bat,
    draw_dimension,
    draw_item,
    draw_soft_kit,
    draw_surface,
    draw_zone_names,
    draw_zones,
    item_bounds,
    place_on_page,
    surface_fill,
    surface_place,
)
from livery.kit.drawing_style import style_upon
from livery.kit.surface_drawing import hatch_area
from livery.scheme.model import Hand, ItemKind, Panel, SoftKit

TARN, EMBER = (36.0, -14.0, -14.0), (57.0, 50.0, 50.0)
GLOVES = SoftKit("gloves", "Gloves", ItemKind.GLOVE, ("men",), (Panel("cuff", "tarn", "mesh"),))
PADS = SoftKit("pads", "Pads", ItemKind.PAD, ("men",), (Panel("wing", "ember", "fabric"),))


@pytest.fixture
def bat(model):
    """A bat."""
    return build_bat(model, "short-handle")


@pytest.fixture
def glove():
    """A left glove."""
    return build_gloves(GLOVES, "men", Hand.RIGHT)[0]


@pytest.fixture
def pad():
    """A left pad."""
    return build_pads(PADS, "men", Hand.RIGHT)[0]


def texts(elements):
    return [element.text for element in elements if isinstance(element, Label)]


def shapes(elements):
    return {element.name: element for element in elements if isinstance(element, Shape)}


def drawn_bounds(named):
    """(x0, y0, x1, y1) of all that was drawn about the page's origin, y down again."""
    boxes = np.array([shape.path.bounds() for shape in named.values()])
    x0, y0 = boxes[:, :2].min(axis=0)
    x1, y1 = boxes[:, 2:].max(axis=0)
    return x0, -y1, x1, -y0


def test_y_turns_over_on_the_page(bat):
    (shape,) = draw_surface(bat.surface("face"), place_on_page(100.0, 600.0, 0.5))
    assert shape.path.bounds() == pytest.approx(
        (100 - 53.5 / 2, 600 - 519 / 2, 100 + 53.5 / 2, 600)
    )


def test_a_barred_zone_is_hatched_inside_itself(bat):
    face = bat.surface("face")
    drawn = shapes(draw_zones(face, place_on_page(0.0, 0.0)))
    lines = shapely.MultiLineString(drawn["toe-strip hatching"].path.flattened())
    zone = scaled(face.zone("toe-strip").area, 1, -1, origin=(0, 0))
    assert lines.difference(zone.buffer(1e-6)).length == pytest.approx(0.0, abs=1e-6)
    assert "hitting-zone hatching" not in drawn


def test_hatching_is_as_dense_as_asked():
    hatch = hatch_area(shapely.box(0, 0, 100, 100), 2.5)
    assert hatch.length == pytest.approx(100 * 100 / 2.5, rel=0.02)


def test_zones_are_named_inside_themselves_where_there_is_room(bat):
    face, ground = bat.surface("face"), LabPaint((84.0, 4.0, 21.0))
    drawn = draw_zone_names(face, place_on_page(0, 0), ground)
    assert texts(drawn) == ["shoulders", "splice", "toe strip", "hitting zone"]
    for zone, patch in zip(face.zones, drawn[::2], strict=True):
        assert patch.fill == ground  # what lies beneath does not strike the words through
        assert zone.area.contains(affine_transform(patch.path.polygon(), [1, 0, 0, -1, 0, 0]))
    assert draw_zone_names(face, place_on_page(0, 0, 0.02), ground) == ()


def test_names_of_zones_keep_off_what_lies_on_the_surface(bat):
    face, ground = bat.surface("face"), LabPaint((84.0, 4.0, 21.0))
    taken = (face.zone("splice").area, shapely.box(-60.0, 350.0, 60.0, 450.0))
    drawn = draw_zone_names(face, place_on_page(0, 0), ground, keep_off=taken)
    assert texts(drawn) == ["shoulders", "toe strip", "hitting zone"]
    for patch in drawn[::2]:
        laid = affine_transform(patch.path.polygon(), [1, 0, 0, -1, 0, 0])
        assert all(laid.intersection(area).area == 0.0 for area in taken)


def test_lines_show_on_dark_panels(glove):
    fills = {"tarn": TARN, "plain": (95.0, 0.0, 0.0)}
    for key, light in (("cuff", True), ("thumb", False)):
        ground = surface_fill(glove, key, fills)
        drawn = shapes(draw_zones(glove.surface(key), place_on_page(0, 0), style_upon(ground)))
        line = drawn["seam hatching"].stroke.paint.lab[0]
        assert (line > ground.lab[0]) == light
        assert abs(line - ground.lab[0]) > 30


def test_a_dimension_gives_true_length_at_any_scale():
    drawn = draw_dimension(place_on_page(10, 10, 0.2), (0.0, 0.0), (30.0, 40.0), 5.0)
    assert texts(drawn) == ["50 mm"]


def test_a_dimension_stands_off_to_the_left_of_its_way():
    drawn = draw_dimension(place_on_page(0, 0), (0.0, 0.0), (100.0, 0.0), 8.0)
    (line,) = [s for s in drawn if isinstance(s, Shape) and np.allclose(s.path.points[:, 1], 8.0)]
    assert line.path.bounds() == pytest.approx((0.0, 8.0, 100.0, 8.0))
    (label,) = [element for element in drawn if isinstance(element, Label)]
    assert label.x_mm == pytest.approx(50.0)
    assert 8.0 < label.y_mm < 10.0


@pytest.mark.parametrize("end", [(50, 0), (-50, 0), (0, 50), (0, -50), (-30, 40), (30, 40)])
def test_lettering_is_never_upside_down(end):
    (label,) = [
        element
        for element in draw_dimension(place_on_page(0, 0), (0.0, 0.0), end, 5.0)
        if isinstance(element, Label)
    ]
    assert -90.0 < label.rotation_deg <= 90.1


def test_arrows_stand_outside_a_short_dimension():
    def arrows(length):
        drawn = draw_dimension(place_on_page(0, 0), (0.0, 0.0), (length, 0.0), 5.0)
        return [s.path.bounds() for s in drawn if isinstance(s, Shape) and s.fill is not None]

    assert arrows(50.0)[0][0] == pytest.approx(0.0)
    assert arrows(2.0)[0][2] == pytest.approx(0.0)


def test_a_dimension_between_coincident_points_is_nothing():
    assert draw_dimension(place_on_page(0, 0), (1.0, 1.0), (1.0, 1.0), 5.0) == ()


@pytest.mark.parametrize("grip_below_entry", [40.0, -5.0])
@pytest.mark.parametrize("view", list(BatView))
def test_a_bat_shows_blade_and_grip_and_fills_its_bounds(
    model, short_handle, view, grip_below_entry
):
    dims = replace(short_handle, grip_below_entry=grip_below_entry)
    bat = build_bat(replace(model, dims=(dims,)), "short-handle")
    drawn = shapes(draw_bat(bat, view, place_on_page(0.0, 0.0)))
    parts = {"edge", "spine"} if view.value.startswith("edge") else {"blade"}
    assert {*parts, "grip", "grip ribs"} <= set(drawn)
    assert drawn_bounds(drawn) == pytest.approx(item_bounds(bat, view), abs=1e-3)


def test_the_whole_bat_is_as_long_as_it_measures(bat):
    _, y0, _, y1 = item_bounds(bat)
    assert y1 - y0 == pytest.approx(bat.dims.overall_length)


def test_the_shoulders_leave_the_grip_at_the_handles_width(bat):
    for view in (BatView.FACE, BatView.BACK):
        blade = shapes(draw_bat(bat, view, place_on_page(0, 0)))["blade"].path.polygon()
        entry, above, below = (
            blade.intersection(shapely.LineString([(-99, y), (99, y)])).length
            for y in (39.9, 0.1, -0.1)
        )
        assert entry == pytest.approx(36.0, abs=2.0)
        assert above == pytest.approx(below, abs=0.3)  # no step where the grip ends


def test_fills_replace_materials(bat):
    drawn = shapes(draw_bat(bat, BatView.FACE, place_on_page(0, 0), {"grip": EMBER}))
    assert drawn["grip"].fill == LabPaint(EMBER)


def test_parts_take_their_inks(glove, pad):
    fills = {"tarn": TARN, "ember": EMBER, "plain": (90.0, 0.0, 0.0)}
    drawn = shapes(draw_soft_kit(glove, place_on_page(0, 0), fills))
    assert drawn["cuff"].fill == LabPaint(TARN)
    assert drawn["forefinger 1"].fill == LabPaint((90.0, 0.0, 0.0))
    assert shapes(draw_item(pad, place_on_page(0, 0), fills=fills))["outer wing"].fill == LabPaint(
        EMBER
    )
    assert surface_fill(pad, "wing", fills) == LabPaint(EMBER)


def test_soft_kit_fills_its_bounds(glove, pad):
    for item in (glove, pad):
        drawn = shapes(draw_soft_kit(item, place_on_page(0, 0)))
        assert drawn_bounds(drawn) == pytest.approx(item_bounds(item), abs=1e-3)


def test_artwork_falls_on_the_panel_that_bears_it(glove, pad, bat):
    place = place_on_page(200.0, 300.0, 0.5)
    for item in (glove, pad):
        drawn = shapes(draw_item(item, place))
        for panel in item.panels:
            if panel.surface:
                laid = surface_place(item, panel.surface, place)
                outline = affine_transform(item.surface(panel.surface).outline, laid.for_shapely)
                shown = drawn[panel.name].path.polygon()
                assert outline.symmetric_difference(shown).area < 0.01 * shown.area
    assert surface_place(bat, "face", place) == place
    assert surface_place(bat, "lid", place) is None
    assert surface_place(glove, "face", place) is None


@pytest.mark.parametrize("draw", [draw_bat, lambda i, v, p: item_bounds(i, v)])
def test_what_is_no_bat_is_not_drawn_as_one(bat, draw):
    with pytest.raises(ValueError, match="is no bat"):
        draw(replace(bat, dims=None), BatView.FACE, place_on_page(0, 0))
