"""Pairs under many lights, against colour-science's own integration."""

import time

import numpy as np
import pytest
from colour_science import colour, load_TCS_CIE2017

from livery.colour import (
    LIGHTS,
    correct_to_match,
    illuminant,
    light_from_spectrum,
    see_under_lights,
    spectrum_to_lab,
)
from livery.errors import ColourError

SHAPE = colour.SpectralShape(360, 830, 5)
OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)


@pytest.fixture(scope="module")
def samples():
    """The 99 test colours of CIE 2017, every 5 nm from 380 to 780."""
    table = load_TCS_CIE2017(colour.SpectralShape(380, 780, 5))
    return np.asarray(table.wavelengths), np.asarray(table.values).T


def integrated(wavelengths, reflectance, name):
    """XYZ by colour-science, Y = 1 for white; the light's own white as well."""
    light = colour.SDS_ILLUMINANTS[name].copy()
    light = light.align(
        SHAPE,
        interpolator=colour.LinearInterpolator,
        extrapolator_kwargs={"method": "Constant", "left": 0, "right": 0},
    )
    rows = [*reflectance, np.ones(len(wavelengths))]
    found = []
    for row in rows:
        spectrum = colour.SpectralDistribution(dict(zip(wavelengths, row, strict=True)))
        spectrum = spectrum.align(SHAPE)
        found.append(colour.sd_to_XYZ(spectrum, OBSERVER, light, method="Integration") / 100)
    return np.array(found[:-1]), found[-1]


@pytest.mark.parametrize("name", LIGHTS)
def test_differences_agree_with_another_integration(samples, name):
    wavelengths, reflectance = samples
    some = reflectance[::9]
    ours = see_under_lights(wavelengths, some, lights=[name])
    xyz, white = integrated(wavelengths, some, name)
    lab = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white))
    first, second = np.triu_indices(len(some), k=1)
    theirs = colour.delta_E(lab[first], lab[second], method="CIE 2000")
    # Their end values outside the samples' wavelengths agree with ours; light tables do too.
    assert np.abs(ours.lab[0] - lab).max() < 1e-9
    assert np.abs(ours.de00[0] - theirs).max() < 1e-9


def test_the_index_is_the_difference_once_the_reference_matches(samples):
    wavelengths, reflectance = samples
    seen = see_under_lights(wavelengths, reflectance[:12])
    home = seen.lights.index("D50")
    assert seen.index[home] == pytest.approx(0.0, abs=1e-9)
    scaled = np.stack([reflectance[3], 0.8 * reflectance[3]])  # one curve: no metamerism at all
    alike = see_under_lights(wavelengths, scaled)
    assert alike.index == pytest.approx(0.0, abs=1e-9)
    assert alike.de00.min() > 1.0


def test_the_index_by_hand(samples):
    wavelengths, reflectance = samples
    pair = reflectance[[10, 11]]
    seen = see_under_lights(wavelengths, pair, lights=["A"], reference="D65")
    (std_a, spl_a), white = integrated(wavelengths, pair, "A")
    (std_d, spl_d), _ = integrated(wavelengths, pair, "D65")
    lab = colour.XYZ_to_Lab(np.array([std_a, spl_a * std_d / spl_d]), colour.XYZ_to_xy(white))
    assert seen.index[0, 0] == pytest.approx(colour.delta_E(*lab, method="CIE 2000"), abs=1e-9)


def test_all_pairs_of_99_surfaces_under_nine_lights_within_a_second(samples):
    start = time.process_time()
    seen = see_under_lights(*samples)
    assert time.process_time() - start < 1.0
    assert seen.de00.shape == (9, 99 * 98 // 2)


def test_a_light_of_ones_own(samples):
    wavelengths, reflectance = samples
    d65 = illuminant("D65")
    own = light_from_spectrum("bench lamp", d65.wavelengths_nm, 3.7 * d65.power)
    seen = see_under_lights(wavelengths, reflectance, lights=["D65", own])
    assert seen.lights == ("D65", "bench lamp")
    assert seen.lab[0] == pytest.approx(seen.lab[1], abs=1e-9)


def test_a_fine_spectrum_keeps_the_energy_of_its_lines():
    fine = np.arange(380.0, 781.0, 1.0)
    flat = light_from_spectrum("flat", fine, np.ones(fine.size))
    assert flat.power == pytest.approx(1.0)
    spike = np.where(fine == 546.0, 50.0, 1.0)  # between two points of the 5 nm grid
    line = light_from_spectrum("line", fine, spike)
    assert (line.power - 1.0).sum() * 5.0 == pytest.approx(49.0)


@pytest.mark.parametrize(
    ("wavelengths", "power"),
    [
        (np.arange(380, 781, 10), np.ones(3)),
        (np.arange(450, 781, 10), np.ones(34)),
        (np.arange(380, 781, 25), np.ones(17)),
        (np.arange(380, 781, 10), np.full(41, np.nan)),
        (np.arange(380, 781, 10), np.append(np.ones(40), -0.01)),
        (np.arange(380, 781, 10), np.zeros(41)),
        ([], []),
    ],
)
def test_what_is_no_light_is_refused(wavelengths, power):
    with pytest.raises(ColourError, match="light x"):
        light_from_spectrum("x", wavelengths, power)


def test_black_and_wild_pairs_are_refused(samples):
    wavelengths, reflectance = samples
    with pytest.raises(ColourError, match="reflects nothing"):
        correct_to_match([1, 1, 1], [1, 1, 1], [0, 1, 1])
    with pytest.raises(ColourError, match="pairs"):
        see_under_lights(wavelengths, reflectance, [[0, 99]])
    with pytest.raises(ColourError, match="one row"):
        see_under_lights(wavelengths, reflectance[0])


def test_colours_are_those_of_a_single_spectrum(samples):
    wavelengths, reflectance = samples
    seen = see_under_lights(wavelengths, reflectance[:2], lights=["FL11"])
    alone = spectrum_to_lab(wavelengths, reflectance[0], "FL11")
    assert seen.lab[0, 0] == pytest.approx(alone)
