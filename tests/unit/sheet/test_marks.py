import itertools
from dataclasses import replace

import pytest
import shapely

from livery.scheme.model import CutterMark, PrintProfile
from livery.sheet.frame import divide_sheet
from livery.sheet.marks import cutter_spots, draw_marks

PROFILE = PrintProfile()


def marks(profile, name="cutter"):
    frame = divide_sheet(profile, (18.0, 18.0, 6.0))
    return frame, [
        shape for shape in draw_marks(profile, frame) if getattr(shape, "name", "") == name
    ]


@pytest.mark.parametrize("kind", [CutterMark.DISC, CutterMark.SQUARE, CutterMark.CORNER])
@pytest.mark.parametrize("size", [4.0, 12.0])
def test_the_cutter_s_marks_have_the_profile_s_shape_and_size(kind, size):
    profile = replace(PROFILE, cutter_mark=kind, cutter_mark_mm=size)
    frame, found = marks(profile)
    sheet, usable = shapely.box(0, 0, 320, 450), shapely.box(*frame.usable)
    for shape in found:
        x0, y0, x1, y1 = shape.path.bounds()
        assert (x1 - x0, y1 - y0) == pytest.approx((size, size), abs=0.01)
        area = shape.path.polygon()
        assert sheet.contains(area)
        assert not usable.intersects(area)
    share = {CutterMark.DISC: 0.785, CutterMark.SQUARE: 1.0, CutterMark.CORNER: 0.4375}[kind]
    assert found[0].path.polygon().area == pytest.approx(share * size**2, rel=0.01)


@pytest.mark.parametrize("pitch", [60.0, 90.0, 150.0, 205.0])
def test_marks_stand_no_farther_apart_than_the_pitch(pitch):
    profile = replace(PROFILE, cutter_pitch_mm=pitch)
    frame = divide_sheet(profile, (18.0,))
    heights = sorted({y for _, y in cutter_spots(profile, frame)})
    assert max(b - a for a, b in itertools.pairwise(heights)) <= pitch
    assert heights[0] == pytest.approx(frame.usable[1] + profile.cutter_inset_mm)


def test_one_more_mark_tells_the_way_round():
    frame = divide_sheet(PROFILE, (18.0,))
    spots = set(cutter_spots(PROFILE, frame))
    x0, y0, x1, y1 = frame.usable
    turned = {(round(x0 + x1 - x, 6), round(y0 + y1 - y, 6)) for x, y in spots}
    assert {(round(x, 6), round(y, 6)) for x, y in spots} != turned


def test_a_cutter_without_an_eye_gets_no_marks():
    assert marks(replace(PROFILE, cutter_mark=CutterMark.NONE))[1] == []


def test_marks_keep_clear_of_the_crosses():
    for pitch in (60.0, 150.0, 205.0, 400.0):
        profile = replace(PROFILE, cutter_pitch_mm=pitch)
        frame, found = marks(profile)
        assert found and frame.crosses
        crosses = [shapely.Point(spot).buffer(profile.cross_mm / 2) for spot in frame.crosses]
        for shape in found:
            assert not any(shape.path.polygon().intersects(cross) for cross in crosses)
