import numpy as np
import pytest
from drawings import EMBER, TARN
from picture_seeds import presses
from rasters import lab_of_codes

from livery.colour import ciede2000
from livery.colour.press import read_press_profile
from livery.drawing import LabPaint, Process, Registration, Spot
from livery.errors import ColourError
from livery.output.paints import (
    PROCESS,
    paint_words,
    picture_transform,
    plates_of,
    screen_colour,
    tinted_lab,
)


def _codes(colour: str) -> np.ndarray:
    return np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], dtype=float)


def _lab(colour: str) -> np.ndarray:
    return lab_of_codes(_codes(colour))


@pytest.mark.parametrize("paint", [EMBER, LabPaint((50.0, 10.0, 10.0))])
def test_a_colour_inside_srgb_is_shown_as_it_is(paint: Spot | LabPaint) -> None:
    assert ciede2000(_lab(screen_colour(paint)), np.array(paint.lab)) < 0.5


def test_a_tint_lies_between_paper_and_solid() -> None:
    assert tinted_lab(Spot("tarn", TARN.lab, 0.5)) == (69.0, -11.0, -9.0)
    assert tinted_lab(Spot("tarn", TARN.lab, 0.0)) == (100.0, 0.0, 0.0)


def test_registration_is_black_thinned_by_its_tint() -> None:
    assert screen_colour(Registration()) == "#000000"
    assert screen_colour(Registration(0.5)) == "#808080"


def test_process_inks_look_as_printed() -> None:
    assert screen_colour(Process(0, 0, 0, 0)) == "#ffffff"
    assert _lab(screen_colour(Process(0, 0, 0, 1)))[0] < 20.0
    yellow = _lab(screen_colour(Process(0, 0, 1, 0)))
    assert yellow[0] > 85.0
    assert yellow[2] > 80.0


def test_each_paint_knows_its_plate() -> None:
    paints = (TARN, Registration(), Process(0, 0, 0, 1), LabPaint((1, 2, 3)), None)
    named = [plates_of(paint) for paint in paints]
    assert named == [("tarn",), ("All",), ("Black",), ("",), ("",)]
    assert plates_of(Process(0.2, 0, 1, 0)) == ("Cyan", "Yellow")
    assert plates_of(Process(0, 0, 0, 0)) == ()


BUILDS = [(0.9, 0.2, 0.1, 0.4), (0, 1, 0.9, 0), (0.7, 0, 1, 0.05), (0, 0, 0, 1), (0.01, 0, 0, 0)]


@pytest.mark.parametrize("build", [*BUILDS, (1, 1, 1, 0), (1, 1, 1, 1), (0, 0.003, 1, 0)])
def test_a_build_s_plates_multiply_to_the_build(build: tuple[float, ...]) -> None:
    paint = Process(*build)
    factors = [_codes(screen_colour(paint, plate)) / 255 for plate in plates_of(paint)]
    assert np.abs(255 * np.prod(factors, axis=0) - _codes(screen_colour(paint))).max() <= 2.0


def test_a_plate_darkens_what_its_ink_does() -> None:
    build = Process(0.6, 0.6, 0.6, 0)
    darkest = [int(_codes(screen_colour(build, plate)).argmin()) for plate in PROCESS[:3]]
    assert darkest == [0, 1, 2]


def test_paints_say_what_they_are() -> None:
    assert paint_words(Spot("x", (1.0, 2.0, 3.0), 0.25)) == {
        "data-ink": "x",
        "data-lab": "1 2 3",
        "data-tint": "0.25",
    }
    assert paint_words(Process(0, 0.5, 0, 1)) == {"data-cmyk": "0 0.5 0 1"}
    assert paint_words(Process(0, 0.5, 0, 1), "Magenta") == {
        "data-ink": "Magenta",
        "data-cmyk": "0 0.5 0 1",
        "data-tint": "0.5",
    }
    assert paint_words(Registration(0.5)) == {"data-ink": "All", "data-tint": "0.5"}


def test_a_press_profile_without_a_way_back_converts_no_pictures() -> None:
    whole = presses()[0]
    assert picture_transform(read_press_profile("both ways", whole))
    one_way = read_press_profile("one way", whole.replace(b"B2A", b"xxx"))
    with pytest.raises(ColourError, match="one way: pictures cannot be converted"):
        picture_transform(one_way)
