import numpy as np
import pytest
from colour_science import colour
from icc import matrix_profile, parametric, sampled
from PIL import ImageCms

from livery.colour import WHITE_PCS, decode_srgb, read_rgb_profile
from livery.errors import ColourError

CODES = np.random.default_rng(11).uniform(0.0, 1.0, (4000, 3))
SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)


def columns_of(name):
    """RGB to XYZ of a published space, adapted to the connection space's white."""
    space = colour.RGB_COLOURSPACES[name]
    white = colour.xy_to_XYZ(space.whitepoint)
    moved = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, WHITE_PCS, "Bradford")
    return (moved @ space.matrix_RGB_to_XYZ).T


def test_the_srgb_profile_of_an_independent_library():
    data = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    profile = read_rgb_profile(data)
    np.testing.assert_allclose(profile.linearise(CODES), decode_srgb(CODES), atol=2e-4)
    ours = decode_srgb(CODES) @ columns_of("sRGB")
    np.testing.assert_allclose(profile.linearise(CODES) @ profile.matrix.T, ours, atol=3e-4)


@pytest.mark.parametrize(
    ("name", "kind", "values"),
    [("Display P3", 3, SRGB_CURVE), ("Adobe RGB (1998)", 0, (563 / 256,))],
)
def test_wide_spaces_agree_with_colour_science(name, kind, values):
    profile = read_rgb_profile(matrix_profile(columns_of(name), parametric(kind, values)))
    space = colour.RGB_COLOURSPACES[name]
    reference = space.cctf_decoding(CODES) @ columns_of(name)
    np.testing.assert_allclose(profile.linearise(CODES) @ profile.matrix.T, reference, atol=1e-4)


@pytest.mark.parametrize(
    ("kind", "values", "formula"),
    [
        (0, (2.2,), lambda x: x**2.2),
        (1, (2.0, 1.25, -0.25), lambda x: np.where(x >= 0.2, (1.25 * x - 0.25) ** 2, 0)),
        (2, (2.0, 1.0, -0.2, 0.1), lambda x: np.where(x >= 0.2, (x - 0.2) ** 2, 0) + 0.1),
        (3, (2.0, 0.5, 0.5, 0.3, 0.25), lambda x: np.where(x >= 0.25, (x / 2 + 0.5) ** 2, 0.3 * x)),
        (
            4,
            (2.0, 0.5, 0.5, 0.3, 0.25, 0.125, 0.0625),
            lambda x: np.where(x >= 0.25, (x / 2 + 0.5) ** 2 + 0.125, 0.3 * x + 0.0625),
        ),
    ],
)
def test_each_parametric_form(kind, values, formula):
    profile = read_rgb_profile(matrix_profile(columns_of("sRGB"), parametric(kind, values)))
    x = np.linspace(0.0, 1.0, 301)
    ours = profile.linearise(np.stack([x, x, x], axis=-1))[:, 1]
    np.testing.assert_allclose(ours, formula(x), atol=5e-4)


def test_sampled_curves():
    grey = np.repeat(np.array([[0.0], [0.25], [1.0]]), 3, axis=1)
    for codes, expected in (([], [0.0, 0.25, 1.0]), ([512], [0.0, 0.0625, 1.0])):
        profile = read_rgb_profile(matrix_profile(columns_of("sRGB"), sampled(codes)))
        np.testing.assert_allclose(profile.linearise(grey)[:, 0], expected, atol=1e-9)
    profile = read_rgb_profile(matrix_profile(columns_of("sRGB"), sampled([0, 6553, 65535])))
    np.testing.assert_allclose(profile.linearise(grey)[:, 0], [0.0, 0.05, 1.0], atol=1e-4)


def test_profiles_that_do_not_serve_are_refused():
    columns, curve = columns_of("sRGB"), parametric(0, (2.2,))
    whole = matrix_profile(columns, curve)
    for data, words in [
        (b"", "not one"),
        (whole[:140], "past its end"),
        (whole[:-30], "past its end"),
        (matrix_profile(columns, curve, space=b"CMYK"), "not RGB"),
        (matrix_profile(columns, curve, connection=b"Lab "), "tables instead"),
        (matrix_profile(np.zeros((3, 3)), curve), "do not span"),
        (matrix_profile(columns, parametric(9, (1.0,))), "type 9"),
        (matrix_profile(columns, b"text\0\0\0\0none"), "a curve is needed"),
    ]:
        with pytest.raises(ColourError, match=words):
            read_rgb_profile(data)


def test_no_damage_ends_in_anything_but_a_colour_error():
    whole = matrix_profile(columns_of("sRGB"), parametric(3, SRGB_CURVE))
    generator = np.random.default_rng(5)
    for _ in range(300):
        damaged = bytearray(whole)
        for position in generator.integers(0, len(whole), 3):
            damaged[position] = generator.integers(0, 256)
        try:
            read_rgb_profile(bytes(damaged))
        except ColourError:
            continue
