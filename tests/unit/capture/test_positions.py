"""Decals between rails: found where they are, and what is wrong with them is named."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from targets import measured_target

from livery.artwork.model import Decal, InkRegion
from livery.capture import make_target, read_photograph
from livery.capture.plane import plane_from_corners
from livery.capture.position_model import FlawKind, Standing
from livery.capture.position_picture import draw_difference, draw_positions
from livery.capture.positions import HandMarks, find_positions
from livery.capture.target_layout import TargetKind, form_of
from livery.errors import PhotographError, TargetError
from livery.geometry import Affine, Path
from livery.kit import build_bat
from livery.limits import Rule, RuleBook, Severity
from livery.placement import Layout, Placement
from livery.rehearsal import Camera, Light, Pose, render
from livery.rehearsal.face import Blemish, BlemishKind, Slip, face_scene
from livery.scheme.model import Along, BatModel, Finish, Ink, Palette
from livery.scheme.sizes import bat_sizes

INKS = {"tarn": (36.0, -16.0, -24.0), "ember": (57.0, 46.0, 44.0), "chalk": (91.0, 0.0, 5.0)}
PALETTE = Palette(
    "bench",
    "Bench",
    tuple(Ink(key, key, lab, Finish.MATT, 2.0) for key, lab in INKS.items()),
    "invented",
)
PLACE = Affine.translation(91.0, 27.0) @ Affine.rotation(0.5)
CAMERA = Camera(width_px=1200, height_px=1600, quality=90)
TILTED = Pose(tilt_deg=22.0, turn_deg=-20.0, roll_deg=3.0)  # 30° in all


def _decal(key, width, height, *regions):
    half = Path.rectangle(-width / 2, -height / 2, width / 2, height / 2)
    base = InkRegion("tarn", half)
    return Decal(key, key, (base, *regions), half, width, height, 0.15, "identification", True)


FLAG = _decal(
    "flag",
    52.0,
    40.0,
    InkRegion("chalk", Path.rectangle(-20, -15, -13, 14)),
    InkRegion("ember", Path.rectangle(-13, -15, 16, -8)),
    InkRegion("chalk", Path.circle(12, 8, 7)),
)
BAR = _decal(
    "bar",
    70.0,
    16.0,
    InkRegion("ember", Path.rectangle(-32, -4, 6, 4)),
    InkRegion("chalk", Path.circle(20, 1, 5)),
)


TICK = _decal(
    "tick",
    30.0,
    22.0,
    InkRegion("chalk", Path.polyline([(-12, -2), (-8, -6), (-3, 1), (10, -8), (12, -4), (-3, 8)])),
)


@pytest.fixture(scope="module")
def layout():
    dims = bat_sizes()["short-handle"]
    bat = build_bat(BatModel("wren", "Wren", ("short-handle",), (dims,)), "short-handle")
    flag = Placement("flag-face", FLAG, "face", Affine.translation(0.0, 95.0), 1.0)
    bar = Placement("bar-face", BAR, "face", Affine.translation(4.0, 160.0), 1.0)
    tick = Placement("tick-face", TICK, "face", Affine.translation(0.0, 215.0), 1.0)
    return Layout(bat, (flag, bar, tick), ())


@pytest.fixture(scope="module")
def rails():
    return measured_target("rails", PALETTE)


@pytest.fixture(scope="module")
def shoot(layout, rails, tmp_path_factory):
    """Photographs a face put on as told: decoded, and the truth."""
    folder = tmp_path_factory.mktemp("faces")
    window = form_of(TargetKind.RAILS).window_mm

    def call(slips, blemishes=(), pose=TILTED, printed=rails, camera=CAMERA):
        scene = face_scene(printed, window, layout, PALETTE, PLACE, slips, blemishes)
        photo = render(scene, camera, Light("D50", uneven=0.2, falloff=0.05), pose, 11)
        path = folder / f"face-{len(list(folder.iterdir()))}.jpg"
        path.write_bytes(photo.data)
        return read_photograph(path), photo.truth

    return call


SLIPS = {"flag-face": Slip(1.4, -2.2, 1.6), "bar-face": Slip(-0.4, 0.3, -0.3, stretch=1.015)}


@pytest.fixture(scope="module")
def slipped_photo(shoot):
    marks = [
        Blemish(BlemishKind.BUBBLE, "flag-face", -2.0, 6.0, 8.0),
        Blemish(BlemishKind.LIFT, "flag-face", 26.0, -20.0, 7.0),
        Blemish(BlemishKind.SCRATCH, "bar-face", -12.0, 0.0, 20.0, 10.0),
    ]
    return shoot(SLIPS, marks)


@pytest.fixture(scope="module")
def slipped(slipped_photo, layout, rails):
    return find_positions(slipped_photo[0], rails, layout, PALETTE, (_within(120.0),))


def _within(limit_mm):
    rule = Rule(
        "top",
        "Decals stay near the grip",
        "confined-within",
        {"within": limit_mm, "datum": "grip-bottom"},
        ("face",),
        (),
        Severity.LIMIT,
        "invented",
        "",
        "invented",
    )
    return RuleBook("test", "Test", (rule,))


def test_decals_are_found_where_they_are_at_thirty_degrees(slipped):
    assert all(gate.ok for gate in slipped.gates), slipped.gates
    for one in slipped.decals:
        true, seen = SLIPS.get(one.key, Slip()), one.offset
        assert abs(seen.dx_mm - true.dx_mm) < 0.3 and abs(seen.dy_mm - true.dy_mm) < 0.3
        assert abs(seen.turn_deg - true.turn_deg) < 0.2
        assert seen.dx_u95 < 0.5 and seen.turn_u95 < 0.3
        assert seen.across == pytest.approx(1.0, abs=0.01)
        assert seen.along == pytest.approx(true.stretch, abs=0.01)
    standings = {one.key: one.standing for one in slipped.decals}
    assert standings == {
        "flag-face": Standing.MOVED,
        "bar-face": Standing.IN_PLACE,
        "tick-face": Standing.IN_PLACE,
    }


def test_the_blade_tells_its_frame_and_size(slipped):
    blade = slipped.blade
    assert np.hypot(blade.affine.e - PLACE.e, blade.affine.f - PLACE.f) < 0.3
    assert abs(blade.width_mm - blade.nominal_width_mm) < 0.5
    assert abs(blade.length_mm - blade.nominal_length_mm) < 0.5


def test_bubbles_scratches_and_lifted_corners_are_shown_where_they_are(slipped):
    flag, bar, tick = slipped.decals
    assert not tick.flaws
    bubble = [f for f in flag.flaws if np.hypot(f.x_mm + 0.5, f.y_mm - 98.8) < 5.0]
    assert bubble
    corner = [f for f in flag.flaws if np.hypot(f.x_mm - 27.0, f.y_mm - 72.5) < 6.0]
    assert [f.kind for f in corner] == [FlawKind.LIFTED]
    assert any(f.kind is FlawKind.SCRATCH and f.length_mm > 8.0 for f in bar.flaws)


def test_rules_are_held_against_decals_as_applied(slipped):
    assert [f.subject.rpartition(" ")[2] for f in slipped.broken] == ["bar-face", "tick-face"]
    held = next(f for f in slipped.findings if "flag-face" in f.subject)
    assert held.measured == pytest.approx(95.0 + 20.0 - 2.2 + 26.0 * 0.028, abs=0.4)


def _around(png, found, decal):
    """What a picture shows round a decal's middle, 10 mm to either side."""
    picture = np.asarray(Image.open(io.BytesIO(png)))
    scale = 4.0 / found.picture.px_per_mm
    place = Affine.scaling(scale) @ found.picture.to_px @ found.blade.affine @ decal.found
    x, y = np.rint(place.apply(np.zeros(2))).astype(int)
    return picture[y - 120 : y + 120, x - 120 : x + 120]


def _count(picture, colour):
    return int((picture == colour).all(axis=-1).sum())


def test_pictures_show_what_was_found(slipped, layout):
    flag, tick = slipped.decals[0], slipped.decals[2]
    outlines = draw_positions(slipped, layout)
    green, red = (20, 120, 50), (190, 30, 30)
    assert _count(_around(outlines, slipped, flag), red) > 100
    assert _count(_around(outlines, slipped, tick), green) > 100
    assert not _count(_around(outlines, slipped, tick), red)
    differences = draw_difference(slipped)
    heat = [(255, 221, 87), (240, 120, 30), (170, 0, 60)]
    assert sum(_count(_around(differences, slipped, flag), colour) for colour in heat) > 100
    assert not any(_count(_around(differences, slipped, tick), colour) for colour in heat)
    assert differences == draw_difference(slipped)


def test_a_blade_marked_by_hand_serves(slipped_photo, layout, rails, slipped):
    plane = plane_from_corners((rails.width_mm, rails.height_mm), slipped_photo[1].corners_px)
    sides = ([(-53.3, 200.0), (-53.0, 450.0)], [(53.3, 200.0), (53.0, 450.0)], [(-9, 0), (9, 0)])
    marks = HandMarks.of(*(plane.to_px(PLACE.apply(np.array(points))) for points in sides))
    one_decal = replace(layout, placements=layout.placements[1:2])
    found = find_positions(slipped_photo[0], rails, one_decal, PALETTE, by_hand=marks)
    assert found.blade.by_hand
    (one,), other = found.decals, slipped.decals[1]
    assert abs(one.offset.dx_mm - other.offset.dx_mm) < 0.5
    assert abs(one.offset.dy_mm - other.offset.dy_mm) < 0.5
    assert one.offset.dx_u95 > other.offset.dx_u95


def test_a_size_that_does_not_lie_there_is_told_as_such(slipped_photo, rails):
    dims = bat_sizes()["size-4"]
    bat = build_bat(BatModel("wren", "Wren", ("size-4",), (dims,)), "size-4")
    found = find_positions(slipped_photo[0], rails, Layout(bat, (), ()), PALETTE)
    (gate,) = (gate for gate in found.gates if gate.gate == "blade")
    assert not gate.ok and "a blade 98 mm wide, but of one about 107 mm" in gate.advice
    assert "Name the size that lies there" in gate.advice and "darker" not in gate.advice


def test_what_is_placed_from_the_toe_moves_with_a_grip_that_ends_elsewhere(
    slipped_photo, layout, rails
):
    dims = replace(layout.item.dims, grip_below_entry=layout.item.dims.grip_below_entry + 6.0)
    bat = build_bat(BatModel("wren", "Wren", ("short-handle",), (dims,)), "short-handle")
    drawn = replace(layout, item=bat, placements=layout.placements[:2])
    found = find_positions(slipped_photo[0], rails, drawn, PALETTE, anchors={"bar-face": Along.TOE})
    flag, bar = found.decals
    assert flag.offset.dy_mm == pytest.approx(-2.2, abs=0.3)
    assert bar.offset.dy_mm == pytest.approx(0.3 - 6.0, abs=0.4)
    assert any("grip ends" in note for note in found.notes)


def test_decals_put_on_otherwise_than_drawn_are_named(shoot, layout, rails):
    slips = {
        "flag-face": Slip(0.5, 1.0, upside_down=True),
        "bar-face": Slip(dx_mm=-8.0),
        "tick-face": Slip(mirrored=True),
    }
    found = find_positions(shoot(slips, pose=Pose())[0], rails, layout, PALETTE)
    flag, bar, tick = found.decals
    assert flag.standing is Standing.UPSIDE_DOWN
    assert flag.offset.dy_mm == pytest.approx(1.0, abs=0.3)
    assert bar.standing is Standing.WRONG_HAND and "other hand" in bar.note
    assert tick.standing is Standing.WRONG_HAND and not found.ok


def test_missing_and_doubled_decals_are_named(shoot, layout, rails):
    slips = {"flag-face": Slip(missing=True), "bar-face": Slip(again_mm=130.0)}
    photo = shoot(slips, pose=Pose())[0]
    found = find_positions(photo, rails, layout, PALETTE, (_within(240.0),))
    flag, bar, tick = found.decals
    assert flag.standing is Standing.MISSING and flag.offset is None and flag.found is None
    assert bar.standing is Standing.DOUBLED and len(bar.again) == 1
    assert bar.again[0].f == pytest.approx(290.0, abs=0.5)
    assert tick.standing is Standing.IN_PLACE
    assert [f.subject.endswith("again") for f in found.broken] == [True]


def test_a_strip_that_slid_is_noticed_and_allowed_for(shoot, layout, rails):
    def slid(mark):
        return replace(mark, y_mm=mark.y_mm + 2.0) if mark.x_mm > 90 else mark

    printed = replace(
        rails,
        markers=tuple(slid(mark) for mark in rails.markers),
        patches=tuple(slid(patch) for patch in rails.patches),
    )
    sharp = replace(CAMERA, width_px=2100, height_px=2800)
    slips = {"bar-face": Slip(1.0, 2.0)}
    photo = shoot(slips, pose=Pose(tilt_deg=10.0), printed=printed, camera=sharp)[0]
    two = replace(layout, placements=layout.placements[1:])
    found = find_positions(photo, rails, two, PALETTE)
    assert any("do not lie as printed" in note for note in found.notes)
    assert found.target.markers[0] == rails.markers[0]
    assert (
        max(
            abs(a.y_mm - b.y_mm) for a, b in zip(found.target.markers, printed.markers, strict=True)
        )
        < 0.3
    )
    bar, tick = found.decals
    assert bar.offset.dx_mm == pytest.approx(1.0, abs=0.3)
    assert bar.offset.dy_mm == pytest.approx(2.0, abs=0.3)
    assert tick.standing is Standing.IN_PLACE


def test_a_photograph_without_rails_says_so(tmp_path, layout, rails):
    import cv2

    path = tmp_path / "grey.png"
    path.write_bytes(cv2.imencode(".png", np.full((400, 300, 3), 128, np.uint8))[1].tobytes())
    found = find_positions(read_photograph(path), rails, layout, PALETTE)
    assert found.blade is None and not found.ok and not found.gates[0].ok
    with pytest.raises(PhotographError, match="rails"):
        draw_positions(found, layout)


def test_a_strip_outside_the_picture_is_told(layout, rails, slipped_photo):
    photo = slipped_photo[0]
    codes = photo.codes
    half = replace(photo, codes=np.ascontiguousarray(codes[:, codes.shape[1] // 2 :]))
    found = find_positions(half, rails, layout, PALETTE)
    (blade,) = (gate for gate in found.gates if gate.gate == "blade")
    assert not blade.ok
    assert "both strips are in it" in blade.advice


def test_other_surfaces_targets_and_points_are_refused(layout, rails, slipped_photo):
    with pytest.raises(TargetError, match="not flat"):
        find_positions(slipped_photo[0], rails, layout, PALETTE, surface="back")
    with pytest.raises(TargetError, match="rails"):
        find_positions(slipped_photo[0], make_target("card")[0], layout, PALETTE)
    with pytest.raises(TargetError, match="too few"):
        HandMarks.of([(1, 2)], [(1, 2), (3, 4)], [(5, 6)])
