import numpy as np
import pytest
from colour_science import WHITE_A, chromaticity, colour
from rasters import lab_of_codes

from livery.colour import (
    WHITE_D50,
    WHITE_D65,
    adapt,
    decode_srgb,
    encode_srgb,
    lab_to_srgb8,
    lab_to_xyz,
    xyz_to_lab,
    xyz_to_srgb_linear,
)
from livery.errors import ColourError

XYZ = np.random.default_rng(7).uniform(0.0, 1.1, (10_000, 3))


@pytest.mark.parametrize("white", [WHITE_D50, WHITE_D65, WHITE_A])
def test_cielab_agrees_with_colour_science(white):
    ours = xyz_to_lab(XYZ, white)
    assert np.abs(ours - colour.XYZ_to_Lab(XYZ, chromaticity(white))).max() <= 1e-9
    back = lab_to_xyz(ours, white)
    assert np.abs(back - colour.Lab_to_XYZ(ours, chromaticity(white))).max() <= 1e-9


def test_white_is_white_and_black_is_black():
    np.testing.assert_allclose(xyz_to_lab(WHITE_D50), [100.0, 0.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(xyz_to_lab([0.0, 0.0, 0.0]), 0.0, atol=1e-12)


@pytest.mark.parametrize("pair", [(WHITE_D50, WHITE_D65), (WHITE_A, WHITE_D50)])
def test_bradford_agrees_with_colour_science(pair):
    reference = colour.adaptation.chromatic_adaptation_VonKries(XYZ, *pair, transform="Bradford")
    assert np.abs(adapt(XYZ, *pair) - reference).max() <= 1e-9


def test_srgb_curve_agrees_with_colour_science():
    codes = np.linspace(0.0, 1.0, 4097)
    assert np.abs(decode_srgb(codes) - colour.models.eotf_sRGB(codes)).max() <= 1e-12
    assert np.abs(encode_srgb(codes) - colour.models.eotf_inverse_sRGB(codes)).max() <= 1e-12


def test_srgb_agrees_with_colour_science():
    white_xy = np.array([0.3127, 0.3290])
    white = colour.xy_to_XYZ(white_xy)
    primaries = colour.RGB_COLOURSPACES["sRGB"].primaries
    exact = colour.RGB_Colourspace("exact", primaries, white_xy)
    linear = xyz_to_srgb_linear(XYZ, white)
    assert np.abs(linear - XYZ @ exact.matrix_XYZ_to_RGB.T).max() <= 1e-9


def test_screen_codes_come_back():
    codes = np.random.default_rng(3).integers(0, 256, (5000, 3))
    np.testing.assert_array_equal(lab_to_srgb8(lab_of_codes(codes)), codes)


def test_colours_beyond_the_screen_are_clipped():
    assert lab_to_srgb8([55.0, -60.0, -50.0]).min() == 0


def test_values_outside_the_domain_are_refused():
    with pytest.raises(ColourError, match="above zero"):
        xyz_to_lab([0.1, 0.2, 0.3], [0.0, 1.0, 1.0])
    with pytest.raises(ColourError, match="not finite"):
        lab_to_xyz([np.nan, 0.0, 0.0])
