import math

import shapely

from livery.sheet.inspection import least_gap_mm, sheet_holds

SQUARE = shapely.box(0, 0, 10, 10)


def moved(x, y=0.0):
    return shapely.affinity.translate(SQUARE, x, y)


def test_gap_between_neighbours():
    assert least_gap_mm([SQUARE, moved(13), moved(0, 14)]) == 3.0
    assert least_gap_mm([SQUARE, moved(100)]) == math.inf
    assert least_gap_mm([SQUARE]) == math.inf


def test_one_exactly_on_another_is_no_gap():
    assert least_gap_mm([SQUARE, moved(0)]) == 0.0
    assert least_gap_mm([SQUARE, SQUARE.buffer(-3)]) == 0.0


def test_sheet_holds_only_with_gap_and_bleed_inside():
    box = (-2, -2, 26, 12)
    assert sheet_holds([SQUARE, moved(14)], box, 4.0, 2.0)
    assert not sheet_holds([SQUARE, moved(13.9)], box, 4.0, 2.0)
    assert not sheet_holds([SQUARE, moved(14.1)], box, 4.0, 2.0)
