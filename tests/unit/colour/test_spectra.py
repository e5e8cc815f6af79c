import numpy as np
import pytest
from colour_science import WHITE_A, colour
from rasters import lab_of_codes

from livery.colour import (
    WAVELENGTHS_NM,
    WHITE_D50,
    WHITE_D65,
    Illuminant,
    illuminant,
    read_table,
    spectrum_for_lab,
    spectrum_to_lab,
    spectrum_to_xyz,
)
from livery.errors import ColourError

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
NAMES, _ = read_table("illuminants", "illuminants")
SAMPLES = list(colour.SDS_COLOURCHECKERS["BabelColor Average"].values())


def test_the_lights_of_the_trade_are_there():
    needed = {"A", "D50", "D65", "FL2", "FL11", *(f"LED-B{i}" for i in range(1, 6))}
    assert needed <= set(NAMES)


@pytest.mark.parametrize(
    ("name", "white"), [("A", WHITE_A), ("D50", WHITE_D50), ("D65", WHITE_D65)]
)
def test_whites_of_the_standard_lights(name, white):
    np.testing.assert_allclose(illuminant(name).white, white, atol=2e-4)


@pytest.mark.parametrize("name", NAMES)
def test_integration_agrees_with_colour_science(name):
    start = 360 if name in ("A", "D50", "D65") else 380
    shape = colour.SpectralShape(start, 780, 5)
    light = colour.SDS_ILLUMINANTS[name].copy().align(shape)
    observer = OBSERVER.copy().align(shape)
    for sample in SAMPLES:
        reflectance = np.interp(shape.wavelengths, sample.wavelengths, sample.values)
        distribution = colour.SpectralDistribution(reflectance, shape.wavelengths)
        reference = colour.sd_to_XYZ(distribution, observer, light, method="Integration") / 100.0
        ours = spectrum_to_xyz(shape.wavelengths, reflectance, name)
        assert np.abs(ours - reference).max() <= 1e-9


def test_ten_nanometre_spectra_agree_with_colour_science_at_one():
    light = colour.SDS_ILLUMINANTS["D50"].copy().align(OBSERVER.shape)
    for sample in SAMPLES:
        fine = sample.copy().align(OBSERVER.shape)
        reference = colour.sd_to_XYZ(fine, OBSERVER, light, method="Integration")
        ours = spectrum_to_xyz(sample.wavelengths, sample.values, "D50")
        assert np.abs(ours - reference / 100.0).max() <= 1e-4


@pytest.mark.parametrize("name", NAMES)
def test_a_perfect_white_is_white_under_every_light(name):
    lab = spectrum_to_lab(WAVELENGTHS_NM, np.ones(36), name)
    np.testing.assert_allclose(lab, [100.0, 0.0, 0.0], atol=1e-9)
    adapted = spectrum_to_lab(WAVELENGTHS_NM, np.ones(36), name, adapt_to_d50=True)
    np.testing.assert_allclose(adapted, [100.0, 0.0, 0.0], atol=1e-9)


def test_many_spectra_at_once():
    many = np.random.default_rng(2).uniform(0.0, 1.0, (3, 4, 36))
    lab = spectrum_to_lab(WAVELENGTHS_NM, many, "LED-B3")
    assert lab.shape == (3, 4, 3)
    np.testing.assert_allclose(lab[1, 2], spectrum_to_lab(WAVELENGTHS_NM, many[1, 2], "LED-B3"))


def test_a_light_of_ones_own():
    flat = Illuminant("flat", np.array([300.0, 900.0]), np.ones(2))
    np.testing.assert_allclose(flat.white, [1.0, 1.0, 1.0], atol=5e-4)


def test_the_spectrum_for_a_colour_has_that_colour_and_is_possible():
    codes = np.random.default_rng(4).integers(0, 250, (200, 3))
    for lab in lab_of_codes(codes):
        spectrum = spectrum_for_lab(lab)
        assert spectrum.min() >= 0.0
        assert spectrum.max() <= 1.0
        np.testing.assert_allclose(spectrum_to_lab(WAVELENGTHS_NM, spectrum), lab, atol=1e-6)


def test_a_grey_has_a_flat_spectrum():
    spectrum = spectrum_for_lab([50.0, 0.0, 0.0])
    np.testing.assert_allclose(spectrum, spectrum.mean(), atol=1e-6)


@pytest.mark.parametrize("lab", [(50.0, 120.0, -120.0), (100.0, 0.0, 0.0), (98.0, -60.0, 60.0)])
def test_an_impossible_surface_colour_is_refused(lab):
    with pytest.raises(ColourError, match="no reflectance"):
        spectrum_for_lab(lab)


@pytest.mark.parametrize(
    ("wavelengths", "values", "words"),
    [
        ([400, 550, 700], [1, 1, 1], "at least four"),
        (WAVELENGTHS_NM[::-1], np.ones(36), "must rise"),
        (np.arange(380, 731, 50.0), np.ones(8), "at most 20 nm"),
        (np.arange(430, 731, 10.0), np.ones(31), "400 to 700"),
        (WAVELENGTHS_NM, np.ones(35), "one for each|One value"),
        (WAVELENGTHS_NM, np.full(36, np.nan), "not finite"),
    ],
)
def test_spectra_that_do_not_serve_are_refused(wavelengths, values, words):
    with pytest.raises(ColourError, match=words):
        spectrum_to_xyz(wavelengths, values)


def test_an_unknown_light_is_answered_with_the_list():
    with pytest.raises(ColourError, match="LED-B5"):
        illuminant("candle")
