import numpy as np
from hypothesis import assume, given, settings
from rasters import lab_of_codes
from strategies import lab_colours, screen_codes

from livery.colour import (
    WHITE_D50,
    WHITE_D65,
    adapt,
    ciede2000,
    ciede2000_terms,
    decode_srgb,
    encode_srgb,
    lab_to_srgb8,
    lab_to_xyz,
    xyz_to_lab,
)

profile = settings(max_examples=150)


@profile
@given(lab_colours(), lab_colours())
def test_a_difference_is_symmetric_and_not_negative(lab_1, lab_2):
    there, back = float(ciede2000(lab_1, lab_2)), float(ciede2000(lab_2, lab_1))
    assert there >= 0.0
    assert abs(there - back) <= 1e-9 * max(1.0, there)


@profile
@given(lab_colours())
def test_a_colour_does_not_differ_from_itself(lab):
    assert float(ciede2000(lab, lab)) == 0.0


@profile
@given(lab_colours(), lab_colours())
def test_different_colours_differ(lab_1, lab_2):
    assume(np.abs(np.subtract(lab_1, lab_2)).max() > 1e-3)
    assert float(ciede2000(lab_1, lab_2)) > 0.0


@profile
@given(lab_colours(), lab_colours())
def test_terms_turn_round_with_the_pair(lab_1, lab_2):
    there, back = ciede2000_terms(lab_1, lab_2), ciede2000_terms(lab_2, lab_1)
    assert float(there.lightness) == -float(back.lightness)
    assert abs(float(there.chroma) + float(back.chroma)) <= 1e-9
    assert abs(abs(float(there.hue)) - abs(float(back.hue))) <= 1e-9


@profile
@given(lab_colours())
def test_lab_comes_back_from_xyz(lab):
    np.testing.assert_allclose(xyz_to_lab(lab_to_xyz(lab)), lab, atol=1e-9)


@profile
@given(lab_colours())
def test_adaptation_comes_back(lab):
    xyz = lab_to_xyz(lab)
    back = adapt(adapt(xyz, WHITE_D50, WHITE_D65), WHITE_D65, WHITE_D50)
    np.testing.assert_allclose(back, xyz, atol=1e-9)


@profile
@given(screen_codes())
def test_screen_codes_come_back(codes):
    np.testing.assert_array_equal(lab_to_srgb8(lab_of_codes(codes)), codes)
    share = np.array(codes) / 255.0
    np.testing.assert_allclose(encode_srgb(decode_srgb(share)), share, atol=1e-12)
