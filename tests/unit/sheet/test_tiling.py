import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from sheets import ELL, TURNS, piece

from livery.sheet.compaction import height_of
from livery.sheet.nesting import nest
from livery.sheet.settling import stand_apart
from livery.sheet.silhouette import Room, Silhouette, spot_area
from livery.sheet.tiling import tile, tile_low

ROOM = Room(600.0, 1000.0, 0.5)
HORSESHOE = Point(0, 0).buffer(20).difference(shapely.box(-8, -30, 8, 5))


def ellipse(width, height):
    return shapely.affinity.scale(Point(0, 0).buffer(0.5, quad_segs=32), width, height)


def check_sound(spots, of, room):
    limit = shapely.box(0, 0, room.width_mm, room.height_mm).buffer(1e-6)
    assert stand_apart(spots, {of.key: of})
    assert all(limit.covers(spot_area(of, spot)) for spot in spots)
    assert {spot.turn_deg for spot in spots} <= set(of.turns_deg)


@pytest.mark.parametrize("area", [ELL, HORSESHOE, Polygon([(-20, 0), (20, 0), (3, 31)])])
@pytest.mark.parametrize("turns", [(0.0,), (0.0, 180.0), TURNS])
def test_tilings_are_sound_in_the_turns_allowed_and_denser_than_boxes(area, turns):
    of, room = piece("piece", area, turns), Room(250.0, 180.0, 0.5)
    spots = tile(of, room)
    check_sound(spots, of, room)
    x0, y0, x1, y1 = area.bounds
    boxes = math.floor(room.width_mm / (x1 - x0)) * math.floor(room.height_mm / (y1 - y0))
    assert len(spots) >= boxes
    if len(turns) > 1:
        assert len(spots) > 1.1 * boxes


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=7),
    st.sampled_from([(0.0,), (0.0, 180.0), TURNS]),
)
def test_tilings_of_any_outline_are_sound(points, turns):
    area = Polygon(points).buffer(0)
    if not isinstance(area, Polygon) or area.area < 4.0:
        area = shapely.MultiPoint(points).buffer(1.5).convex_hull
    side = max(area.bounds[2] - area.bounds[0], area.bounds[3] - area.bounds[1])
    of, room = piece("piece", area, turns), Room(4.5 * side, 3.5 * side, 0.5)
    spots = tile(of, room)
    assert len(spots) >= 12
    check_sound(spots, of, room)


@pytest.mark.parametrize(("width", "height"), [(33.0, 21.0), (47.0, 31.0), (63.0, 23.0), (28, 28)])
def test_whole_sheets_of_ellipses_come_near_the_best_lattice(width, height):
    """An ellipse's best lattice is the hexagonal one of discs, stretched: π/√12 of the plane."""
    of = piece("piece", ellipse(width, height))
    filled = len(tile(of, ROOM)) * of.area.area / (ROOM.width_mm * ROOM.height_mm)
    assert filled >= 0.945 * math.pi / math.sqrt(12.0)


def test_rows_begin_at_the_edge_wherever_the_outline_s_own_origin_is():
    room = Room(100.5, 20.5, 0.5)
    for shift in (-7.0, 0.0, 33.0):
        area = shapely.affinity.translate(shapely.box(0, 0, 20, 20), shift, -shift)
        assert len(tile(piece("piece", area, (0.0,)), room)) == 5


def test_what_is_larger_than_the_sheet_is_not_tiled():
    assert tile(piece("piece", shapely.box(0, 0, 90, 10), (0.0,)), Room(80.0, 200.0, 0.5)) == []
    assert (
        tile_low(piece("piece", shapely.box(0, 0, 90, 10), (0.0,)), Room(80.0, 200.0, 0.5), 1) == []
    )


def test_what_is_smaller_than_a_hair_is_tiled_too():
    of, room = piece("piece", shapely.box(0, 0, 0.2, 0.1), (0.0,)), Room(2.05, 1.05, 0.5)
    spots = tile(of, room)
    assert len(spots) >= 90
    check_sound(spots, of, room)


def test_upright_rows_over_lying_ones_use_up_a_sheet():
    """90 mm up: four rows of 20 leave 10, three of 20 and one of 30 leave none."""
    of, room = piece("piece", shapely.box(0, 0, 30, 20)), Room(60.0, 90.0, 0.5)
    assert len(tile(of, room)) == 9
    assert len(tile(piece("piece", of.area, (0.0,)), room)) == 8
    assert len(tile(piece("piece", of.area, (90.0,)), room)) == 9


@pytest.mark.parametrize("area", [ellipse(40, 16), ELL])
def test_so_many_copies_take_the_least_length_that_tiles_them(area):
    of, room = piece("piece", area), Room(250.0, 900.0, 0.5)
    spots = tile_low(of, room, 60)
    assert len(spots) == 60
    check_sound(spots, of, room)
    shorter = Room(250.0, 0.97 * height_of(spots, {of.key: of}), 0.5)
    assert len(tile(of, shorter)) < 60
    assert tile_low(of, shorter, 120) == []


def test_equal_decals_on_a_roll_are_tiled_kind_beyond_kind():
    discs, leaves = (
        piece("piece", ellipse(25, 25)),
        Silhouette("leaf", ellipse(60, 20), TURNS, 942.0),
    )
    room, wanted = Room(300.0, 900.0, 0.5), [(discs, 80), (leaves, 60)]
    (plain,), (rolled,) = (nest(wanted, room, roll=roll) for roll in (False, True))
    pieces = {discs.key: discs, leaves.key: leaves}
    assert stand_apart(rolled, pieces)
    assert sorted(s.key for s in rolled) == sorted(s.key for s in plain)
    assert height_of(rolled, pieces) < height_of(plain, pieces)
