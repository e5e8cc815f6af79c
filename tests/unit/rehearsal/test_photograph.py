import io
import json
from dataclasses import replace

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps
from rasters import lab_of_codes

from livery.capture.markers import marker_corners_mm
from livery.capture.plane import crossing
from livery.colour import LIGHTS, ciede2000, decode_srgb
from livery.errors import ColourError
from livery.rehearsal import (
    Camera,
    Encoding,
    Light,
    Orientation,
    Pose,
    Spot,
    box_ring,
    make_scene,
    region,
    render,
    truth_json,
    write_photograph,
)
from livery.rehearsal.sensor import SENSORS

PLAIN = Camera(
    width_px=900,
    height_px=700,
    veil=0.0,
    full_well=1e9,
    read_noise=0.0,
    encoding=Encoding.PNG,
    exposure=1.0,
)


def pixels_of(photograph):
    picture = ImageOps.exif_transpose(Image.open(io.BytesIO(photograph.data)))
    return np.asarray(picture.convert("RGB"))


def middle_of(picture, ring, half=3):
    x, y = np.rint(ring.mean(axis=0)).astype(int)
    return picture[y - half : y + half + 1, x - half : x + half + 1].reshape(-1, 3).mean(axis=0)


def marker_corners(photograph):
    detector = cv2.aruco.ArucoDetector(
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    )
    grey = cv2.cvtColor(pixels_of(photograph), cv2.COLOR_RGB2GRAY)
    corners, ids, _ = detector.detectMarkers(grey)
    found = {} if ids is None else dict(zip(np.ravel(ids), corners, strict=True))
    return {int(i): quad.reshape(4, 2) for i, quad in found.items()}


def test_the_same_arguments_give_the_same_bytes(scene):
    camera = Camera(width_px=400, height_px=300)
    assert render(scene, camera, seed=5).data == render(scene, camera, seed=5).data
    assert render(scene, camera, seed=5).data != render(scene, camera, seed=6).data


def test_in_plain_daylight_colours_come_out_near_the_truth(scene):
    photograph = render(scene, PLAIN)
    picture = pixels_of(photograph)
    shown = [lab_of_codes(middle_of(picture, p.rings_px[0])) for p in photograph.truth.patches]
    errors = ciede2000(shown, [patch.lab for patch in photograph.truth.patches])
    assert errors.mean() < 2.0  # a camera's own 3x3 under D50
    assert errors.max() < 5.0


def test_patches_have_the_targets_values_exactly(scene, target):
    truth = render(scene, PLAIN).truth
    np.testing.assert_allclose(
        [patch.lab for patch in truth.patches], [patch.lab for patch in target.patches], atol=1e-6
    )


@pytest.mark.parametrize("light", ["A", "FL11", "LED-B3"])
def test_other_lights_are_balanced_to_white_but_not_right(scene, light):
    day, other = render(scene, PLAIN), render(scene, PLAIN, Light(light))
    near_white = day.truth.patches[3].rings_px[0]
    seen = middle_of(pixels_of(other), near_white)
    assert np.ptp(seen) < 8
    ember = day.truth.regions[1].rings_px[0]
    moved = ciede2000(
        lab_of_codes(middle_of(pixels_of(day), ember)),
        lab_of_codes(middle_of(pixels_of(other), ember)),
    )
    assert moved > 0.5


@pytest.mark.parametrize(
    "pose",
    [
        Pose(),
        Pose(tilt_deg=35.0),
        Pose(tilt_deg=-20.0, turn_deg=25.0, roll_deg=100.0),
        Pose(fill=0.6, roll_deg=180.0),
    ],
)
@pytest.mark.parametrize("distortion", [0.0, -0.06, 0.04])
def test_markers_are_seen_where_the_truth_says(target, pose, distortion):
    camera = replace(PLAIN, width_px=1400, height_px=1100, distortion=distortion)
    marks = [
        replace(region(f"{marker.id}", marker_corners_mm(marker), (50, 0, 0)), painted=False)
        for marker in target.markers
    ]
    photograph = render(make_scene(target, over=marks), camera, pose=pose)
    seen = marker_corners(photograph)
    assert sorted(seen) == [0, 1, 2, 3]
    for true in photograph.truth.regions:
        away = crossing(seen[int(true.name)]) - crossing(true.rings_px[0])
        assert np.abs(away).max() < 1.0


def test_uneven_light_is_as_said(scene):
    even = render(scene, PLAIN)
    uneven = render(scene, PLAIN, Light(uneven=0.4, direction_deg=0.0))
    ratios = []
    for patch in even.truth.patches[1:4]:
        ring = patch.rings_px[0]
        before, after = (
            decode_srgb(middle_of(pixels_of(p), ring) / 255.0).mean() for p in (even, uneven)
        )
        ratios.append(after / before)
    assert ratios == sorted(ratios, reverse=True)
    assert even.truth.light_range == 1.0
    assert uneven.truth.light_range == pytest.approx(0.71, abs=0.03)


def test_veiling_glare_lifts_the_black_by_its_share_of_the_mean(scene):
    linear = replace(PLAIN, encoding=Encoding.LINEAR)
    clear, veiled = (
        cv2.imdecode(
            np.frombuffer(render(scene, replace(linear, veil=veil)).data, np.uint8),
            cv2.IMREAD_UNCHANGED,
        ).astype(float)
        for veil in (0.0, 0.03)
    )
    assert clear.max() > 256
    np.testing.assert_allclose(veiled, 0.97 * clear + 0.03 * clear.mean(axis=(0, 1)), atol=30.0)


def test_a_lamps_reflection_burns_out_where_it_lies(scene):
    dark = render(scene, PLAIN).truth.patches[0].rings_px[0]
    spot = Spot(29.0, 13.0, 6.0, 1.5)
    assert middle_of(pixels_of(render(scene, PLAIN, Light(spots=(spot,)))), dark).min() > 250


def test_noise_is_as_much_as_the_electrons_say(scene):
    camera = replace(
        PLAIN, full_well=2000.0, read_noise=5.0, encoding=Encoding.LINEAR, exposure=0.8
    )
    photograph = render(scene, camera, seed=1)
    picture = cv2.imdecode(np.frombuffer(photograph.data, np.uint8), cv2.IMREAD_UNCHANGED)
    x, y = np.rint(photograph.truth.patches[2].rings_px[0].mean(axis=0)).astype(int)
    block = picture[y - 15 : y + 16, x - 15 : x + 16, 1].astype(float) / 65535.0
    expected = np.sqrt(block.mean() / 2000.0 + (5.0 / 2000.0) ** 2)
    assert 0.8 * expected < block.std() < 2.5 * expected  # the matrix mixes and raises it


@pytest.mark.parametrize("orientation", list(Orientation))
def test_exif_turns_the_picture_upright(scene, orientation):
    camera = Camera(width_px=600, height_px=400, orientation=orientation, quality=98)
    upright = pixels_of(render(scene, replace(camera, orientation=Orientation.UPRIGHT)))
    turned = render(scene, camera)
    assert Image.open(io.BytesIO(turned.data)).getexif()[0x0112] == orientation
    assert pixels_of(turned).shape == (400, 600, 3)
    assert np.abs(pixels_of(turned).astype(int) - upright).mean() < 2.0
    by_cv2 = cv2.imdecode(np.frombuffer(turned.data, np.uint8), cv2.IMREAD_COLOR)
    assert by_cv2.shape == (400, 600, 3)


def test_texture_leaves_the_mean_alone(scene):
    linear = replace(PLAIN, encoding=Encoding.LINEAR)
    photograph = render(scene, linear, seed=2)
    picture = cv2.imdecode(np.frombuffer(photograph.data, np.uint8), cv2.IMREAD_UNCHANGED)
    x0, y0 = np.ceil(photograph.truth.regions[0].rings_px[0].min(axis=0)).astype(int) + 4
    block = picture[y0 : y0 + 30, x0 : x0 + 300, ::-1].reshape(-1, 3) / 65535.0
    assert block.std(axis=0).max() > 0.01
    shown = 116.0 * np.cbrt(block.mean(axis=0) @ [0.2225, 0.7169, 0.0606]) - 16.0
    assert shown == pytest.approx(80.0, abs=2.0)


def test_the_truth_is_written_beside_the_picture_and_says_it_is_simulated(scene, tmp_path):
    photograph = render(scene, Camera(width_px=300, height_px=200), seed=9)
    picture, truth = write_photograph(photograph, tmp_path / "bench.1")
    data = json.loads(truth.read_text(encoding="utf-8"))
    assert picture.name == "bench.1.jpg"
    assert data["simulated"] is True
    assert "no camera took it" in data["note"]
    assert [region["name"] for region in data["regions"]] == ["glove", "badge"]
    np.testing.assert_allclose(data["regions"][1]["lab"], [45, 48, 35], atol=1e-5)
    assert data["settings"]["illuminant"] == "D50"
    assert data["settings"]["seed"] == "9"
    assert truth_json(photograph.truth) == truth.read_text(encoding="utf-8")


def test_every_light_and_sensor_renders(scene):
    for light in LIGHTS:
        for sensor in SENSORS:
            camera = Camera(sensor=sensor, width_px=60, height_px=40)
            assert render(scene, camera, Light(light)).data


def test_what_cannot_be_rendered_is_refused(scene):
    with pytest.raises(ColourError, match="nikon-5100"):
        render(scene, Camera(sensor="pinhole"))
    with pytest.raises(ColourError, match="0 spectra for the 6 patches of small"):
        render(replace(scene, patches=()))


@pytest.mark.parametrize(
    ("kind", "settings", "told"),
    [
        (Camera, {"width_px": 1}, "1 × 3000 px: a photograph is 16 to 12000 px a side"),
        (Camera, {"veil": 1.5}, "veil 1.5: it is a share"),
        (Camera, {"exposure": 0.0}, "full_well 12000 and exposure 0: both are above 0"),
        (Camera, {"distortion": -1.0}, "distortion -1: it is simulated to 0.2 either way"),
        (Pose, {"turn_deg": -80.0}, "tilt 0° and turn -80°: each is simulated to 60°"),
        (Pose, {"fill": 0.0}, "fill 0: it lies from 0.02 to 3"),
        (Light, {"uneven": 1.0}, "uneven 1 and falloff 0: each is a share"),
    ],
)
def test_settings_that_are_not_simulated_are_refused(kind, settings, told):
    with pytest.raises(ValueError, match=told):
        kind(**settings)


def test_a_place_to_measure_is_listed_but_not_painted(target, scene):
    spot = region("spot", box_ring(45, 40, 55, 50), (45, 48, 35), ink="ember")
    named = make_scene(
        target, [*scene.under, replace(spot, painted=False)], window_mm=scene.window_mm
    )
    camera = replace(PLAIN, width_px=300, height_px=200)
    plain, listed = render(scene, camera), render(named, camera)
    assert plain.data == listed.data
    assert [r.name for r in listed.truth.regions] == ["glove", "badge", "spot"]
