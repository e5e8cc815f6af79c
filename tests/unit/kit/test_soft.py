"""Pairs of gloves and pads."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.affinity import affine_transform
from shapely.affinity import scale as scaled

from livery.errors import InputError
from livery.geometry import Affine
from livery.kit import build_gloves, build_pads, surface_place
from livery.scheme.model import Hand, ItemKind, Panel, SoftKit

GLOVES = SoftKit(
    "sedge-gloves",
    "Sedge gloves",
    ItemKind.GLOVE,
    ("men", "youth"),
    (Panel("cuff", "tarn", "mesh"), Panel("back-of-hand", "chalk", "leather")),
)
PADS = SoftKit(
    "sedge-pads",
    "Sedge pads",
    ItemKind.PAD,
    ("men", "youth"),
    (Panel("wing", "ember", "fabric"), Panel("front-shin", "chalk", "fabric")),
)


def pairs():
    yield build_gloves(GLOVES, "men", Hand.RIGHT)
    yield build_pads(PADS, "men", Hand.RIGHT)


def surface_in_item(item, key):
    """A surface's outline as it lies in a picture of the whole glove or pad."""
    place = surface_place(item, key, Affine())
    return affine_transform(item.surface(key).outline, place.for_shapely)


def flipped(polygon):
    return scaled(polygon, -1.0, 1.0, origin=(0, 0))


def test_gloves_and_pads_bear_their_surfaces():
    gloves, pads = pairs()
    for item in gloves:
        assert {surface.key for surface in item.surfaces} == {"back-of-hand", "cuff", "thumb"}
    for item in pads:
        assert {surface.key for surface in item.surfaces} == {"front-shin", "knee-roll", "wing"}


def test_a_pair_is_left_then_right_and_mirrored():
    for left, right in pairs():
        assert (left.side, right.side) == ("left", "right")
        for one in left.surfaces:
            other = right.surface(one.key)
            assert flipped(one.outline).symmetric_difference(other.outline).area < 1e-6
            assert one.area_mm2 == pytest.approx(other.area_mm2)


def test_artwork_is_not_mirrored_on_either_side():
    for pair in pairs():
        for item in pair:
            assert all(panel.affine.determinant > 0 for panel in item.panels if panel.surface)


def test_a_surface_lies_on_the_part_that_bears_it():
    for pair in pairs():
        for item in pair:
            for panel in item.panels:
                if panel.surface:
                    laid = surface_in_item(item, panel.surface)
                    drawn = panel.outline.polygon()
                    assert laid.symmetric_difference(drawn).area < 1e-3 * drawn.area


def test_a_surface_starts_at_its_own_middle():
    for pair in pairs():
        for item in pair:
            for surface in item.surfaces:
                x0, y0, x1, y1 = surface.outline.bounds
                assert (x0 + x1, y0 + y1) == pytest.approx((0.0, 0.0), abs=0.01)
                assert surface.datums[0].y_mm == 0.0
                assert surface.datum("toe").y_mm == pytest.approx(y1)


def test_gloves_are_as_long_as_the_size_says():
    for size, length in (("men", 210.0), ("youth", 190.0)):
        glove = build_gloves(GLOVES, size, Hand.RIGHT)[0]
        tips = [p.outline.bounds()[1] for p in glove.panels if p.panel == "fingers"]
        assert min(tips) == pytest.approx(-length, abs=1.5)


def test_pads_are_as_long_as_the_middle_of_their_range():
    pad = build_pads(PADS, "men", Hand.RIGHT)[0]
    (instep,) = (p for p in pad.panels if p.name == "instep")
    under = shapely.LineString([(0, 380), (0, 480)]).intersection(instep.outline.polygon())
    assert under.bounds[3] == pytest.approx(410.0, abs=1.0)


def test_a_knee_roll_laid_flat_is_taller_than_it_looks():
    pad = build_pads(PADS, "men", Hand.RIGHT)[0]
    _, y0, _, y1 = pad.surface("knee-roll").outline.bounds
    half, bulge = 25.0, 14.0
    radius = (half**2 + bulge**2) / (2 * bulge)
    assert y1 - y0 == pytest.approx(2 * radius * np.arcsin(half / radius), rel=1e-6)
    drawn = surface_in_item(pad, "knee-roll").bounds
    assert drawn[3] - drawn[1] == pytest.approx(50.0, abs=0.1)


@pytest.mark.parametrize(("hand", "lower"), [(Hand.RIGHT, "right"), (Hand.LEFT, "left")])
def test_the_lower_hand_has_the_side_bar(hand, lower):
    for glove in build_gloves(GLOVES, "men", hand):
        bars = [panel for panel in glove.panels if panel.panel == "side-bar"]
        assert bool(bars) == (glove.side == lower)


def test_the_thumb_points_to_the_other_hand():
    left, right = build_gloves(GLOVES, "men", Hand.RIGHT)
    assert surface_in_item(left, "thumb").centroid.x > 50
    assert surface_in_item(right, "thumb").centroid.x < -50


def test_the_outer_wing_is_on_the_outside_of_each_leg():
    left, right = build_pads(PADS, "men", Hand.RIGHT)
    assert surface_in_item(left, "wing").centroid.x > 80
    assert surface_in_item(right, "wing").centroid.x < -80


def test_a_part_takes_its_own_ink_or_that_of_the_panel_it_follows():
    glove = build_gloves(GLOVES, "men", Hand.RIGHT)[0]
    dress = {panel.panel: (panel.ink, panel.material) for panel in glove.panels}
    assert dress["cuff"] == dress["binding"] == ("tarn", "mesh")
    assert dress["fingers"] == ("chalk", "leather")
    assert dress["thumb"] == ("", "")


def test_the_seam_is_barred_and_the_rest_allowed():
    glove = build_gloves(GLOVES, "men", Hand.RIGHT)[0]
    surface = glove.surface("cuff")
    seam, panel = surface.zone("seam"), surface.zone("panel")
    assert (seam.allowed, panel.allowed) == (False, True)
    assert seam.area.area + panel.area.area == pytest.approx(surface.area_mm2)


def test_decal_surfaces_do_not_overlap_one_another():
    for pair in pairs():
        for item in pair:
            laid = [surface_in_item(item, surface.key) for surface in item.surfaces]
            whole = shapely.unary_union(laid)
            assert whole.area == pytest.approx(sum(shape.area for shape in laid), rel=1e-9)


@pytest.mark.parametrize(
    ("call", "found"),
    [
        (lambda: build_gloves(PADS, "men", Hand.RIGHT), "it is a pad, not a glove"),
        (lambda: build_pads(PADS, "boys", Hand.RIGHT), "Use one of men, youth"),
    ],
)
def test_what_cannot_be_built_says_why(call, found):
    with pytest.raises(InputError, match=found):
        call()
