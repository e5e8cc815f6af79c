import math

import pytest
import shapely
from sheets import piece

from livery.sheet.kits import make_block
from livery.sheet.nesting import nest
from livery.sheet.silhouette import Room, fits, spot_area


def oblong(key, width, height):
    return piece(key, shapely.box(0, 0, width, height))


KIT = (oblong("crest", 46.3, 54.9), oblong("name", 62.5, 14.4), oblong("edge", 12.4, 97.9))


@pytest.mark.parametrize("width", [99.4, 121.15, 128.49, 139.99])
def test_a_block_fits_an_empty_sheet_whatever_grid_that_has(width):
    room, pieces = Room(width, 163.7, 0.5), {one.key: one for one in KIT}
    block = make_block(["crest", "edge", "edge", "name", "name"], pieces, room)
    assert block is not None
    assert fits(block.whole, room)
    assert len(nest([(block.whole, 3)], room)) <= 3
    areas = [spot_area(pieces[spot.key], spot) for spot in block.spots]
    assert math.isclose(shapely.union_all(areas).area, sum(a.area for a in areas), rel_tol=1e-6)


@pytest.mark.parametrize("height", [100.2, 100.6, 101.4])
def test_a_kit_that_only_just_fits_is_a_block_or_none_but_no_fault(height):
    room = Room(80.2, height, 0.5)
    tall = oblong("tall", 79.6, height - 0.55)
    block = make_block(["tall"], {"tall": tall}, room)
    assert block is None or fits(block.whole, room)
