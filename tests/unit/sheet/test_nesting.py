"""Every layout is looked at again by exact geometry, whatever its outlines."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from livery.sheet.filling import fill_sheets
from livery.sheet.nesting import nest
from livery.sheet.silhouette import Room, Silhouette, spot_area

GAP_MM = 3.0
CHORD_MM = 0.008  # by how much a round corner drawn in chords falls short
TURNS = ((0.0,), (0.0, 180.0), (0.0, 90.0, 180.0, 270.0))
ROOM = Room(100.0, 120.0, 1.0)


@st.composite
def outlines(draw):
    """Stars of any reach: thin, hollow, as small as a full stop, some with a hole."""
    count = draw(st.integers(3, 9))
    size = draw(st.sampled_from([0.3, 2.0, 12.0, 30.0]))
    reach = draw(st.lists(st.floats(0.15, 1.0), min_size=count, max_size=count))
    at = np.linspace(0.0, 2.0 * math.pi, count, endpoint=False)
    points = np.array(reach)[:, None] * size * np.c_[np.cos(at), np.sin(at)]
    hole = [points * 0.5] if draw(st.booleans()) else []
    return Polygon(points, hole)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(outlines(), st.sampled_from(TURNS), st.integers(1, 2)), max_size=4))
@pytest.mark.parametrize("roll", [False, True])
def test_any_outlines_keep_their_gap_and_stay_inside(roll, asked):
    pieces, bare = {}, {}
    for number, (outline, turns, _) in enumerate(asked):
        grown = outline.buffer(GAP_MM / 2 + CHORD_MM)
        pieces[str(number)] = Silhouette(str(number), grown, turns, outline.area)
        bare[str(number)] = Silhouette(str(number), outline, turns, outline.area)
    wanted = [(pieces[str(n)], copies) for n, (_, _, copies) in enumerate(asked)]
    sheets = nest(wanted, ROOM) if not wanted else fill_sheets(wanted, ROOM, roll=roll)
    counts = {key: sum(s.key == key for spots in sheets for s in spots) for key in pieces}
    assert counts == {piece.key: copies for piece, copies in wanted}
    limit = shapely.box(0, 0, ROOM.width_mm, ROOM.height_mm).buffer(1e-6)
    for spots in sheets:
        areas = [spot_area(bare[spot.key], spot) for spot in spots]
        one, other = shapely.STRtree(areas).query(areas, "dwithin", distance=GAP_MM - 1e-3)
        assert (one == other).all()
        assert all(limit.covers(spot_area(pieces[s.key], s)) for s in spots)
        assert all(spot.turn_deg in pieces[spot.key].turns_deg for spot in spots)


def test_what_no_empty_sheet_holds_is_refused():
    wide = Silhouette("wide", shapely.box(0, 0, 101, 10), (0.0,), 1010.0)
    with pytest.raises(ValueError, match="wide does not fit"):
        nest([(wide, 1)], ROOM)


def test_later_smaller_silhouettes_go_between_larger_ones():
    large = Silhouette("large", shapely.box(0, 0, 60, 60), (0.0,), 3600.0)
    small = Silhouette("small", shapely.box(0, 0, 30, 30), (0.0,), 900.0)
    sheets = nest([(small, 8), (large, 2)], ROOM)
    assert {spot.key for spot in sheets[0]} == {"large", "small"}
    assert len(sheets) == 2
