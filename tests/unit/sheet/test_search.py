import pytest
import shapely
from shapely.geometry import Point
from sheets import piece, three_pieces

from livery.sheet.compaction import height_of
from livery.sheet.nesting import nest
from livery.sheet.search import pack_roll, search_sheets
from livery.sheet.settling import stand_apart
from livery.sheet.silhouette import Room, Spot, spot_area

ROOM = Room(100.0, 200.0, 1.0)


@pytest.fixture(scope="module")
def pieces():
    return three_pieces()


def test_what_is_packed_along_a_roll_keeps_its_width_and_its_turns(pieces):
    keys = ["bar", "bar", "disc", "ell", "ell"]
    spots = pack_roll(keys, pieces, ROOM.width_mm, 1, 0)
    assert sorted(spot.key for spot in spots) == keys
    areas = [spot_area(pieces[spot.key], spot).buffer(-0.005) for spot in spots]
    assert shapely.unary_union(areas).area == pytest.approx(sum(a.area for a in areas))
    x0, y0, x1, _ = shapely.total_bounds(areas)
    assert min(x0, y0) >= 0.0
    assert x1 <= ROOM.width_mm
    assert all(spot.turn_deg == 0.0 for spot in spots if spot.key == "bar")


def test_a_searched_roll_is_sound_and_no_longer_than_seated(pieces, monkeypatch):
    monkeypatch.setattr("livery.sheet.search._TRIES", 1)
    wanted = [(p, 2) for p in pieces.values()]
    seated = nest(wanted, ROOM)
    (found,) = search_sheets(seated, pieces, ROOM, 1, roll=True)
    assert sorted(spot.key for spot in found) == sorted(spot.key for spot in seated[0])
    assert stand_apart(found, pieces)
    assert height_of(found, pieces) <= height_of(seated[0], pieces)


def test_what_stands_loose_on_two_sheets_is_shared_out_over_fewer(pieces):
    room = Room(100.0, 60.0, 1.0)
    loose = [
        [Spot("ell", 1.0, 1.0, 0.0)],
        [Spot("bar", 1.0, 1.0, 0.0), Spot("disc", 50.0, 30.0, 0)],
    ]
    (found,) = search_sheets(loose, pieces, room, 1)
    assert sorted(spot.key for spot in found) == ["bar", "disc", "ell"]
    assert stand_apart(found, pieces)
    assert height_of(found, pieces) <= room.height_mm


def test_sheets_that_cannot_be_fewer_stay_as_they_are(pieces):
    tight = Room(45.0, 32.0, 1.0)
    sheets = [[Spot("ell", 0.0, 0.0, 0.0)], [Spot("ell", 0.0, 0.0, 0.0)]]
    assert search_sheets(sheets, pieces, tight, 1) is sheets


def test_where_no_sheet_is_spared_the_emptiest_gives_what_it_can():
    room = Room(100.0, 60.0, 1.0)
    areas = {"bar": shapely.box(0, 0, 44, 9), "disc": Point(0, 0).buffer(26)}
    pieces = {key: piece(key, area) for key, area in areas.items()}
    pieces["slab"] = piece("slab", shapely.box(0, 0, 99.9, 50), (0.0,))
    slab = [Spot("slab", 0.0, 0.0, 0.0)]
    last = [Spot("bar", 1.0, 1.0, 0.0), Spot("bar", 52.0, 1.0, 0.0), Spot("disc", 30.0, 36.0, 0.0)]
    found = search_sheets([slab, last, slab], pieces, room, 1)
    assert [sorted(s.key for s in spots) for spots in found] == [*[["bar", "slab"]] * 2, ["disc"]]
    assert all(stand_apart(spots, pieces) for spots in found)
    assert all(height_of(spots, pieces) <= room.height_mm for spots in found)


def test_a_roll_that_a_search_would_lengthen_stays_as_it_is(pieces, monkeypatch):
    long = [Spot("disc", 13.0, 13.0, 0.0), Spot("bar", 50.0, 150.0, 0.0)]
    short, plain = [Spot("bar", 0.0, 0.0, 0.0)], nest([(pieces["bar"], 2)], ROOM)
    monkeypatch.setattr("livery.sheet.search._seat_shares", lambda *_: [long, long])
    monkeypatch.setattr("livery.sheet.search._shorten_last", lambda sheets, _: sheets)
    assert search_sheets([short, short, short], pieces, ROOM, 1, roll=True) == [short] * 3
    assert search_sheets(plain, pieces, ROOM, 1, roll=True) is plain
