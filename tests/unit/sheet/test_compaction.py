import dataclasses
import json
import os
import subprocess
import sys

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon
from sheets import ELL, TURNS, areas_on, piece, three_pieces

from livery.scheme.model import PrintProfile
from livery.sheet import make_sheets
from livery.sheet.compaction import Workshop, height_of, shorten
from livery.sheet.convex import convex_parts, parting
from livery.sheet.emptying import empty_last
from livery.sheet.filling import fill_sheets
from livery.sheet.inspection import least_gap_mm
from livery.sheet.overlap import Overlaps, pattern_of
from livery.sheet.settling import Solids, settle, stand_apart
from livery.sheet.silhouette import Room, Spot, spot_area

ROOM = Room(100.0, 200.0, 1.0)


@pytest.mark.parametrize("turn", TURNS)
def test_a_pattern_finds_its_way_back_to_its_cell(turn):
    pattern = pattern_of(piece("ell", ELL), 2.0)
    cell = (3, 7, round(turn / 90))
    spot = pattern.spot(*cell)
    assert spot.turn_deg == turn
    assert pattern.cell(spot) == cell
    rows, columns = pattern.masks[cell[2]].shape
    box = spot_area(pattern.piece, spot).bounds
    assert (box[0] + box[2]) / 2 == pytest.approx((7 + columns / 2) * 2.0)
    assert (box[1] + box[3]) / 2 == pytest.approx((3 + rows / 2) * 2.0)


def test_depths_agree_with_masks_laid_over_one_another():
    patterns = [pattern_of(p, 4.0) for p in three_pieces().values()]
    overlaps = Overlaps(patterns)
    for one, two, first, second in ((0, 2, 0, 1), (2, 0, 3, 2), (1, 2, 1, 1), (2, 2, 1, 2)):
        still, moving = patterns[one].masks[first], patterns[two].masks[second]
        depths = overlaps.of((one, first), (two, second))
        rows, columns = moving.shape
        padded = np.pad(still, ((rows - 1, rows - 1), (columns - 1, columns - 1)))
        for row, column in np.ndindex(depths.shape):
            window = padded[row : row + rows, column : column + columns]
            assert bool(depths[row, column]) == bool((window & moving).any())


def test_convex_parts_cover_the_area_and_little_more():
    parts = [Polygon(part.points) for part in convex_parts(ELL)]
    assert len(parts) == 2
    assert shapely.unary_union(parts).buffer(1e-9).covers(ELL)
    assert sum(part.area for part in parts) < ELL.area * 1.01
    assert all(part.convex_hull.area == pytest.approx(part.area) for part in parts)


def test_parting_measures_gap_and_overlap():
    (box,) = convex_parts(shapely.box(0, 0, 10, 10))
    gap, normal = parting(box, box, np.array([13.0, 2.0]))
    assert gap == pytest.approx(2.95, abs=0.01)
    assert normal == pytest.approx((1.0, 0.0))
    assert parting(box, box, np.array([9.0, 2.0]))[0] == pytest.approx(-1.05, abs=0.01)


def test_settling_frees_what_overlaps_a_little_and_sinks_the_rest():
    pieces = three_pieces()
    spots = [Spot("bar", 1.0, 1.0, 0.0), Spot("ell", 2.0, 11.0, 0.0), Spot("disc", 70.0, 30.0, 0)]
    assert not stand_apart(spots, pieces)
    height, settled = settle(spots, Solids(pieces), ROOM.width_mm)
    assert stand_apart(settled, pieces)
    assert height == pytest.approx(41.05, abs=0.02)
    assert height_of(settled, pieces) == pytest.approx(height, abs=1e-3)


def test_shortening_is_sound_never_worse_and_the_same_again():
    pieces = three_pieces()
    wanted = [(p, 4) for p in pieces.values()]
    plain = fill_sheets(wanted, ROOM, roll=False)[0]
    tight = [shorten(plain, Workshop(pieces, ROOM, 60_000), 60_000) for _ in range(2)]
    assert tight[0] == tight[1]
    assert sorted(s.key for s in tight[0]) == sorted(s.key for s in plain)
    assert stand_apart(tight[0], pieces)
    assert height_of(tight[0], pieces) < height_of(plain, pieces)
    box = shapely.total_bounds([spot_area(pieces[s.key], s) for s in tight[0]])
    assert box[0] >= -1e-6
    assert box[2] <= ROOM.width_mm + 1e-6
    assert all(s.turn_deg == 0.0 for s in tight[0] if s.key == "bar")


def test_a_sheet_with_little_on_it_is_shared_out():
    pieces = three_pieces()
    room = Room(100.0, 60.0, 1.0)
    sheets = [
        [Spot("bar", 1.0, 1.0, 0.0), Spot("ell", 50.0, 20.0, 0.0)],
        [Spot("disc", 50.0, 30.0, 0.0)],
    ]
    (shared,) = empty_last(sheets, Workshop(pieces, room, 10_000), 10_000)
    assert sorted(spot.key for spot in shared) == ["bar", "disc", "ell"]
    assert stand_apart(shared, pieces)
    assert height_of(shared, pieces) <= room.height_mm


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(st.integers(8, 45), st.integers(6, 40)), min_size=2, max_size=6))
def test_any_boxes_and_discs_end_up_apart_and_inside(sizes):
    pieces = {}
    for number, (width, height) in enumerate(sizes):
        area = shapely.box(0, 0, width, height) if number % 2 else Point(0, 0).buffer(width / 2)
        pieces[str(number)] = piece(str(number), area)
    wanted = [(p, 1) for p in pieces.values()]
    sheets = fill_sheets(wanted, ROOM, roll=False)
    sheets = [shorten(spots, Workshop(pieces, ROOM, 1_000), 1_000) for spots in sheets]
    assert sorted(s.key for spots in sheets for s in spots) == sorted(pieces)
    limit = shapely.box(0, 0, ROOM.width_mm, ROOM.height_mm).buffer(1e-6)
    for spots in sheets:
        assert stand_apart(spots, pieces)
        assert all(limit.covers(spot_area(pieces[s.key], s)) for s in spots)


@pytest.mark.parametrize("width", [610.0, 1370.0, 170.0])
def test_rolls_are_cut_to_the_length_their_decals_need(shop, width):
    profile = PrintProfile(roll=True, stock_width_mm=width, stock_height_mm=500.0)
    run = make_sheets(shop.scheme(profile), [shop.layout("Q-1", "A")])
    assert sum(len(sheet.items) for sheet in run.sheets) == 5
    for sheet in run.sheets:
        areas = areas_on(run, sheet)
        assert least_gap_mm(areas) >= 4.0
        above = sheet.height_mm - shapely.total_bounds(areas)[3]
        margin = max(profile.margin_mm, profile.cross_mm + 2.0)
        assert margin + profile.bleed_mm - 1e-6 <= above < margin + profile.bleed_mm + 1.0
        assert sheet.width_mm == width


def test_other_stock_gives_another_hash(shop):
    orders = [shop.layout("Q-1", "A")]
    profile = PrintProfile(stock_height_mm=500.0)
    hashes = {
        make_sheets(shop.scheme(p), orders).content_hash
        for p in (profile, dataclasses.replace(profile, roll=True))
    }
    assert len(hashes) == 2


_SCRIPT = """
import json, shapely
from shapely.geometry import Point
from livery.sheet.filling import fill_sheets
from livery.sheet.silhouette import Room, Silhouette
turns = (0.0, 90.0, 180.0, 270.0)
areas = [shapely.box(0, 0, 30 + n, 8 + n) for n in range(4)]
areas += [Point(0, 0).buffer(9 + n) for n in range(3)]
wanted = [(Silhouette(str(n), a, turns, a.area), 1 + n % 2) for n, a in enumerate(areas)]
sheets = fill_sheets(wanted, Room(90.0, 120.0, 1.0), roll=False, effort=1)
print(json.dumps([[[s.key, s.x_mm, s.y_mm, s.turn_deg] for s in spots] for spots in sheets]))
"""


def test_hash_seeds_do_not_move_anything():
    texts = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        done = subprocess.run(
            [sys.executable, "-c", _SCRIPT], env=environment, capture_output=True, check=True
        )
        texts.append(done.stdout)
    assert texts[0] == texts[1]
    assert sum(len(spots) for spots in json.loads(texts[0])) == 10
