import io
import json
import math
import re

import cv2
import numpy as np
import pytest
from PIL import Image
from targets import measured_target

from livery.capture import annotate, capture_to_json, make_target, measure
from livery.capture.model import Region
from livery.colour import ciede2000
from livery.errors import PhotographError

SIZE = (1200, 900)
WINDOW = ((66.0, 54.0, 84.0, 72.0), (100.0, 54.0, 118.0, 72.0))
MARK, REGION, BAD = (20, 120, 220), (190, 40, 190), (205, 42, 48)  # colours of the drawn
INKS = ((45.0, 35.0, 20.0), (60.0, -20.0, -15.0))


@pytest.fixture(scope="module")
def card():
    return measured_target("card")


@pytest.fixture(scope="module")
def raster(card, bench):
    from livery.colour import lab_to_xyz, xyz_to_srgb_linear

    image = bench.raster_of(card)
    for (x0, y0, x1, y1), lab in zip(WINDOW, INKS, strict=True):
        image[int(y0 * 8) : int(y1 * 8), int(x0 * 8) : int(x1 * 8)] = xyz_to_srgb_linear(
            lab_to_xyz(lab)
        )
    return image


@pytest.fixture(scope="module")
def regions():
    boxes = [[(x0, y0), (x1, y0), (x1, y1), (x0, y1)] for x0, y0, x1, y1 in WINDOW]
    return tuple(
        Region(f"ink {i}", f"ink-{i}", "decal", polygon_mm=np.array(box))
        for i, box in enumerate(boxes)
    )


@pytest.fixture
def shoot(card, bench, raster, tmp_path):
    def shot(view=None, size=SIZE, quality=0, **light):
        view = bench.view_of(card, size, 15, 10) if view is None else view
        codes = bench.expose(card, view, size, raster=raster, **light)
        if quality:
            return bench.write_jpeg(tmp_path / "p.jpg", codes, quality)
        return bench.write_png(tmp_path / "p.png", codes)

    return shot


def _failed(capture):
    return {gate.gate for gate in capture.gates if not gate.ok}


@pytest.mark.parametrize(
    ("tilt", "turn", "azimuth", "size", "light"),
    [
        (0, 0, 0, SIZE, {}),
        (35, 180, 20, SIZE, {"shade": 0.3, "noise": 0.005}),
        (35, 90, 70, (900, 1200), {"shade": 0.3, "glare": 0.02, "noise": 0.005, "quality": 90}),
        (20, 45, 0, (1600, 1200), {"gain": 0.4, "noise": 0.005, "quality": 85}),
    ],
)
def test_inks_are_measured_at_any_turn_and_tilt(
    card, bench, shoot, regions, tilt, turn, azimuth, size, light
):
    view = bench.view_of(card, size, tilt, turn, azimuth_deg=azimuth)
    capture = measure(shoot(view, size, **light), card, regions)
    assert _failed(capture) == set()
    assert capture.absolute
    assert capture.homography_residual_mm < 0.3
    for sample, lab in zip(capture.samples, INKS, strict=True):
        assert ciede2000(sample.lab, lab) < 1.0
        away = sample.lab - lab
        assert away @ np.linalg.solve(sample.cov, away) < 11.34
        assert np.linalg.eigvalsh(sample.cov - sample.shared_cov).min() > -1e-9
        assert sample.pixels > 100
    true = cv2.perspectiveTransform(
        np.array(
            [[(0, 0), (card.width_mm, 0), (card.width_mm, card.height_mm), (0, card.height_mm)]]
        ),
        view,
    )[0]
    assert np.abs(capture.corners_px - true).max() < 1.5


def test_exposure_and_colour_of_light_leave_the_result_alone(card, shoot, regions):
    bright = measure(shoot(gain=0.9), card, regions)
    dim = measure(shoot(gain=0.3), card, regions)
    for one, other in zip(bright.samples, dim.samples, strict=True):
        assert ciede2000(one.lab, other.lab) < 0.4


def test_regions_in_pixels_read_the_same(card, bench, shoot, regions):
    view = bench.view_of(card, SIZE, 15, 10)
    in_px = tuple(
        Region(
            r.name, r.ink, r.item, polygon_px=cv2.perspectiveTransform(r.polygon_mm[None], view)[0]
        )
        for r in regions
    )
    photo = shoot(view)
    for one, other in zip(
        measure(photo, card, regions).samples, measure(photo, card, in_px).samples, strict=True
    ):
        assert ciede2000(one.lab, other.lab) < 0.1


def test_given_corners_serve_instead_of_markers(card, bench, shoot, regions):
    view = bench.view_of(card, SIZE, 15, 10)
    frame = [(0, 0), (card.width_mm, 0), (card.width_mm, card.height_mm), (0, card.height_mm)]
    corners = cv2.perspectiveTransform(np.array([frame]), view)[0]
    capture = measure(shoot(view), card, regions, corners=corners)
    assert _failed(capture) == set()
    assert ciede2000(capture.samples[0].lab, INKS[0]) < 0.6


@pytest.mark.parametrize(
    "corners",
    [
        [(0, 0), (900, 0), (0, 700), (900, 700)],
        [(0, 0), (0, 700), (900, 700), (900, 0)],
        [(5, 5), (5, 5), (5, 5), (5, 5)],
        [(0, 0), (math.nan, 0), (900, 700), (0, 700)],
        [(0, 0), (90000, 0), (90000, 700), (0, 700)],
        [(0, 0), (900, 0), (900, 700)],
    ],
)
def test_corners_that_make_no_sense_are_refused(card, shoot, regions, corners):
    capture = measure(shoot(), card, regions, corners=corners)
    assert "target" in _failed(capture)
    assert not capture.samples


def test_a_nominal_target_says_so(shoot, card, regions):
    nominal, _ = make_target("card")
    assert not measure(shoot(), nominal, regions).absolute


def test_a_region_off_the_picture_is_named_and_not_sampled(card, shoot, regions):
    off = Region("far", "tarn", "bat", polygon_mm=np.array([(900.0, 0), (950, 0), (950, 50)]))
    capture = measure(shoot(), card, (*regions, off))
    assert "place of far" in _failed(capture)
    assert [sample.name for sample in capture.samples] == ["ink 0", "ink 1"]


def test_a_region_across_two_colours_is_named(card, shoot):
    both = Region(
        "both", "tarn", "bat", polygon_mm=np.array([(70.0, 56), (112, 56), (112, 70), (70, 70)])
    )
    capture = measure(shoot(), card, (both,))
    assert "one colour in both" in _failed(capture)
    gate = next(gate for gate in capture.gates if not gate.ok)
    outline = dict(capture.trace.regions_px)["both"]
    x, y = outline.min(axis=0) / 2 + outline.max(axis=0) / 2
    said = re.search(r"\(at 91, 63 mm on the target, (\d+), (\d+) px\)", gate.advice)
    assert abs(int(said[1]) - x) < 4
    assert abs(int(said[2]) - y) < 4


def test_the_report_is_plain_json(card, shoot, regions):
    capture = measure(shoot(), card, regions)
    data = json.loads(json.dumps(capture_to_json(capture), allow_nan=False))
    assert {"samples", "gates", "characterisation", "scale_px_per_mm"} <= data.keys()
    assert set(data["samples"][0]) >= {"name", "lab", "cov", "pixels", "item", "ink", "shared_cov"}
    assert set(data["gates"][0]) >= {"gate", "ok", "value", "limit", "advice"}
    assert set(data["characterisation"]) == {"method", "loo_mean", "loo_max", "bench"}
    assert np.array(data["corners"]).shape == (4, 2)


def _pixels(png):
    return np.asarray(Image.open(io.BytesIO(png)))


def _count(picture, colour):
    return int((picture == colour).all(axis=-1).sum())


def test_the_annotated_picture_shows_the_photograph_and_more(card, shoot, regions, tmp_path):
    photo = shoot()
    marked = _pixels(annotate(photo, measure(photo, card, regions)))
    assert marked.shape[1] > SIZE[0]
    assert marked.shape[0] >= SIZE[1]
    assert _count(marked, MARK) > 500
    assert _count(marked[:, : SIZE[0]], REGION) > 100
    blank = tmp_path / "blank.png"
    Image.new("RGB", (400, 300), (120, 90, 60)).save(blank)
    unmarked = _pixels(annotate(blank, measure(blank, card)))
    assert not _count(unmarked, MARK)
    assert _count(unmarked, BAD) > 100


def test_measuring_twice_gives_the_same_bytes(card, shoot, regions):
    photo = shoot(noise=0.01, quality=90)
    first, second = (json.dumps(capture_to_json(measure(photo, card, regions))) for _ in range(2))
    assert first == second


def test_a_file_that_is_no_photograph_is_an_error(card, tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("not a picture")
    with pytest.raises(PhotographError):
        measure(path, card)
