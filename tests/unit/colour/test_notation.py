import re

import numpy as np
import pytest
from colour_science import chromaticity, colour
from rasters import lab_of_codes

from livery.colour import (
    WHITE_D50,
    WHITE_D65,
    colour_from_words,
    lab_to_xyz,
)
from livery.errors import ColourError

WHITES = {"d50": WHITE_D50, "d65": WHITE_D65}
# Constants rounded to six digits in the converting library, and sRGB's matrix to four.
TOLERANCE = {"lab": 5e-4, "lch": 5e-4, "xyy": 5e-4, "xyz": 5e-4, "srgb": 0.03}
AIMS = lab_of_codes(np.random.default_rng(9).integers(3, 256, (150, 3)))


def reference(notation, values, white):
    if notation == "srgb":
        xyz, white = colour.RGB_to_XYZ(values, "sRGB", apply_cctf_decoding=True), WHITE_D65
    else:
        xyz = {
            "lab": lambda v: colour.Lab_to_XYZ(v, chromaticity(white)),
            "lch": lambda v: colour.Lab_to_XYZ(colour.models.LCHab_to_Lab(v), chromaticity(white)),
            "xyy": colour.xyY_to_XYZ,
            "xyz": np.asarray,
        }[notation](values)
    moved = colour.adaptation.chromatic_adaptation_VonKries(xyz, white, WHITE_D50, "Bradford")
    return colour.XYZ_to_Lab(moved, chromaticity(WHITE_D50))


@pytest.mark.parametrize("white", ["d50", "d65"])
@pytest.mark.parametrize("notation", list(TOLERANCE))
def test_every_path_agrees_with_colour_science(notation, white):
    for lab in AIMS:
        xyz = lab_to_xyz(lab)
        values = {
            "lab": lab,
            "lch": colour.models.Lab_to_LCHab(lab),
            "xyz": xyz,
            "xyy": np.array([*(xyz[:2] / xyz.sum()), xyz[1]]),
            "srgb": np.clip(xyz, 0.0, 1.0),
        }[notation]
        error = colour_from_words(notation, values, white) - reference(
            notation, values, WHITES[white]
        )
        assert np.abs(error).max() <= TOLERANCE[notation]


def test_black_in_chromaticities_is_black():
    np.testing.assert_array_equal(colour_from_words("xyy", [0.0, 0.0, 0.0]), 0.0)


@pytest.mark.parametrize(
    ("notation", "values", "words"),
    [
        ("pantomime", [1, 2, 3], "is not one of lab"),
        ("srgb", [200, 10, 10], "scale of 1"),
        ("xyz", [41.0, 35.0, 20.0], "scale of 1"),
        ("lch", [50.0, -3.0, 10.0], "below zero"),
        ("xyy", [0.3, 0.0, 0.5], "nor y zero"),
        ("lab", [120.0, 0.0, 0.0], "0..100"),
        ("lab", [1.0, 2.0], "Three values"),
        ("lab", [[1.0, 2.0, 3.0]], "three numbers"),
    ],
)
def test_words_that_make_no_colour_are_refused(notation, values, words):
    with pytest.raises(ColourError, match=re.escape(words)):
        colour_from_words(notation, values)


def test_an_unknown_white_is_refused():
    with pytest.raises(ColourError, match="d50, d65"):
        colour_from_words("lab", [50, 0, 0], "noon")
