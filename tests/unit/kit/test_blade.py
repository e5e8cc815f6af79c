"""Developed surfaces of a blade against closed forms and a fine mesh."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from livery.errors import InputError
from livery.kit import build_bat, build_surfaces
from livery.kit.section import profile_of, section_points
from livery.scheme.model import Hand

SHARE = 1e-3  # the accuracy promised: 0.1 %


def areas(dims):
    return {surface.key: surface.area_mm2 for surface in build_surfaces(dims)}


def test_a_slab_has_the_areas_of_its_rectangles(slab):
    found = areas(slab)
    assert found["face"] == pytest.approx(500 * 100, rel=SHARE)
    assert found["back"] == pytest.approx(500 * 100, rel=SHARE)
    assert found["edge-left"] == pytest.approx(500 * 20, rel=SHARE)
    assert found["toe"] == pytest.approx(100 * 20, rel=SHARE)


def test_a_half_cylinder_back_has_half_a_circle_of_width(slab):
    dims = replace(slab, edge_thickness=5.0, spine_height=55.0, toe_thickness=55.0, hollow=-1.0)
    dims = replace(dims, swell=1.0)
    back = build_surfaces(dims)[1]
    # The edge would fall to the toe's thickness, which is deeper: both stay constant.
    assert back.area_mm2 == pytest.approx(math.pi * 50 * 500, rel=SHARE)
    assert back.outline.area == pytest.approx(math.pi * 50 * 500, rel=SHARE)


def test_a_wedge_back_has_two_sloping_planes(slab):
    dims = replace(slab, edge_thickness=10.0, spine_height=40.0, toe_thickness=40.0, hollow=0.0)
    back = build_surfaces(dims)[1]
    slope = math.hypot(50.0, 30.0)
    assert back.area_mm2 == pytest.approx(2 * slope * 500, rel=SHARE)
    assert back.outline.bounds[2] == pytest.approx(slope, rel=SHARE)


def test_a_bowed_face_is_as_long_as_its_arc(slab):
    face = build_surfaces(replace(slab, bow=20.0))[0]
    # Length of the parabola z = 20 (1 - (2 s / 500 - 1)^2).
    k = 4 * 20.0 / 500.0
    arc = 500 / 2 * (math.sqrt(1 + k**2) + math.asinh(k) / k)
    assert face.datum("toe").y_mm == pytest.approx(arc, rel=1e-5)
    assert face.area_mm2 == pytest.approx(arc * 100, rel=SHARE)


@pytest.mark.parametrize("hollow", [-1.0, -0.3, 0.0, 0.6, 1.0])
def test_the_back_agrees_with_a_fine_triangulated_mesh(short_handle, hollow):
    dims = replace(short_handle, hollow=hollow, bow=12.0)
    points = section_points(profile_of(dims).from_grip(), 2000)
    a, b, c, d = points[:-1, :-1], points[1:, :-1], points[:-1, 1:], points[1:, 1:]
    mesh = np.linalg.norm(np.cross(b - a, c - a), axis=2).sum() / 2
    mesh += np.linalg.norm(np.cross(b - d, c - d), axis=2).sum() / 2
    assert areas(dims)["back"] == pytest.approx(mesh, rel=SHARE)


def test_the_face_agrees_with_its_closed_form(short_handle):
    dims = replace(short_handle, grip_below_entry=0.0)
    shoulder = 65 * (36 + (107 - 36) * 2 / 3)  # under a parabola
    body = (559 - 65) * (107 + 104) / 2
    corners = 2 * 18**2 * (1 - math.pi / 4)
    assert areas(dims)["face"] == pytest.approx(shoulder + body - corners, rel=1e-4)


def test_the_surface_starts_where_the_grip_ends(short_handle):
    for surface in build_surfaces(short_handle)[:4]:
        assert surface.outline.bounds[1] == pytest.approx(0.0, abs=1e-9)
        assert surface.datums[0].name == "grip-bottom"
    bare = build_surfaces(replace(short_handle, grip_below_entry=-5.0))[0]
    assert bare.outline.bounds[1] == pytest.approx(5.0)


def test_datums_stand_where_they_were_measured(short_handle):
    face = build_surfaces(short_handle)[0]
    assert face.datum("shoulder").y_mm == pytest.approx(65 - 40)
    assert face.datum("toe").y_mm == pytest.approx(559 - 40)
    assert face.datum("middle").y_mm == pytest.approx((559 - 40) / 2)


def test_a_grip_over_the_whole_shoulder_leaves_no_shoulder_zone(short_handle):
    face = build_surfaces(replace(short_handle, grip_below_entry=69.0))[0]
    assert "shoulders" not in {zone.name for zone in face.zones}
    assert face.datum("shoulder").y_mm == pytest.approx(-4.0)


def test_the_left_edge_has_the_face_on_its_right(short_handle):
    left, right = build_surfaces(short_handle)[2:4]
    # The face's side of an edge is straight from the grip to where the toe begins.
    assert left.outline.bounds[2] == pytest.approx(19.0)
    assert right.outline.bounds[0] == pytest.approx(-19.0)
    on_face = [y for x, y in left.outline.exterior.coords[:-1] if abs(x - 19.0) < 1e-9]
    assert (min(on_face), max(on_face)) == pytest.approx((0.0, left.outline.bounds[3]))
    assert len(on_face) == 2


def test_the_edge_is_as_long_as_the_outline_it_follows(short_handle):
    dims = replace(short_handle, shoulder_length=1e-6, handle_width=107.0, taper=0.0)
    edge = build_surfaces(dims)[2]
    corner = 18 * math.pi / 4
    assert edge.datum("toe").y_mm == pytest.approx(559 - 40 - 18 + corner, abs=0.4)


def test_edges_and_toe_share_the_outline_between_them(short_handle):
    _face, _back, left, right, toe = build_surfaces(replace(short_handle, taper=0.0))
    width = toe.outline.bounds[2] - toe.outline.bounds[0]
    assert width == pytest.approx(107 - 2 * 18 + 2 * 18 * math.pi / 4, abs=0.8)
    assert left.area_mm2 == pytest.approx(right.area_mm2)


def test_a_bat_is_built_by_its_size(model):
    item = build_bat(model, "short-handle", Hand.LEFT)
    assert (item.key, item.size, item.hand, item.side) == ("sedge", "short-handle", "left", "")
    assert item.dims == model.dims[0]
    assert item.surface("face").zone("toe-strip").allowed is False


def test_an_unknown_size_names_the_known_ones(model):
    with pytest.raises(InputError, match="Use one of short-handle"):
        build_bat(model, "size-5")


def test_every_contradiction_in_dimensions_is_reported_at_once(short_handle):
    bad = replace(short_handle, toe_radius=90.0, edge_thickness=70.0, hollow=2.0)
    with pytest.raises(InputError) as caught:
        build_surfaces(bad)
    places = {fault.place for fault in caught.value.faults}
    assert places == {"toe_radius", "edge_thickness", "hollow"}


def test_the_hitting_zone_lies_where_its_source_says(short_handle):
    zone = build_surfaces(short_handle)[0].zone("hitting-zone")
    _x0, y0, _x1, y1 = zone.area.bounds
    # 4 to 12 in above the toe, in whole mm [source: retailer-hitting-zone]
    assert (519 - y1, 519 - y0) == pytest.approx((102.0, 305.0))
