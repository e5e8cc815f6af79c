"""Pairs under lights: averaged, held to their tolerance, and told in words."""

from dataclasses import replace

import numpy as np
import pytest

from livery.colour import ciede2000, light_from_spectrum, spectrum_to_lab, spectrum_to_xyz
from livery.match.lights import MeasuredSpectrum, UnderLight, compare_under_lights, say_lights
from livery.scheme.model import PairTolerance, Spectrum, Tolerances

GRID = np.arange(380.0, 731.0, 10.0)


def smooth(peak, height=0.6, wide=40.0):
    return 0.05 + height * np.exp(-(((GRID - peak) / wide) ** 2))


def metamer(values, amount=0.08):
    """The same colour under D50, another curve: a ripple with no tristimulus values removed."""
    ripple = np.sin((GRID - 380.0) / 18.0)
    basis = np.stack([spectrum_basis(channel) for channel in range(3)])
    ripple -= basis.T @ np.linalg.lstsq(basis @ basis.T, basis @ ripple, rcond=None)[0]
    return values + amount * ripple / np.abs(ripple).max()


def spectrum_basis(channel):
    return spectrum_to_xyz(GRID, np.eye(GRID.size), "D50")[:, channel]


@pytest.fixture
def measured():
    def make(item, values, ink="ember"):
        return MeasuredSpectrum(ink, item, Spectrum(GRID, np.asarray(values)))

    return make


def test_a_metamer_matches_by_day_and_parts_under_another_light(measured, palette):
    plain = smooth(610.0)
    (found,) = compare_under_lights(
        [measured("bat", plain), measured("pad", metamer(plain))], palette
    )
    by_light = {one.light: one for one in found.lights}
    assert by_light["D50"].de00 == pytest.approx(0.0, abs=1e-6)
    assert found.worst.de00 > 2.0
    assert not found.ok
    assert found.words.startswith("matches by day")
    assert f"{found.worst.de00:.1f} apart" in found.words
    assert found.worst.light in found.words


def test_numbers_are_those_of_the_spectra(measured, palette):
    one, other = smooth(520.0), smooth(530.0)
    (found,) = compare_under_lights([measured("bat", one), measured("pad", other)], palette)
    for under in found.lights:
        labs = [spectrum_to_lab(GRID, values, under.light) for values in (one, other)]
        assert under.de00 == pytest.approx(float(ciede2000(*labs)), abs=1e-9)


def test_aims_with_spectra_come_first_and_repeats_are_averaged(measured, palette):
    aim = Spectrum(GRID, smooth(600.0))
    known = replace(palette, inks=(replace(palette.inks[0], spectrum=aim), palette.inks[1]))
    shaken = [measured("bat", smooth(600.0) + shift) for shift in (-0.01, 0.01)]
    found = compare_under_lights([*shaken, measured("pad", smooth(604.0))], known)
    assert [(one.a, one.b) for one in found] == [("aim", "bat"), ("aim", "pad"), ("bat", "pad")]
    assert found[0].worst.de00 == pytest.approx(0.0, abs=1e-9)


def test_grids_may_differ(measured, palette):
    fine = np.arange(400.0, 701.0, 5.0)
    values = np.interp(fine, GRID, smooth(550.0))
    other = MeasuredSpectrum("ember", "pad", Spectrum(fine, values))
    (found,) = compare_under_lights([measured("bat", smooth(550.0)), other], palette)
    assert found.worst.de00 < 0.3


def test_tolerances_of_pairs_hold_here_too(measured, palette):
    pair = Tolerances(pairs=(PairTolerance(("bat", "pad"), 7.5),))
    (found,) = compare_under_lights(
        [measured("bat", smooth(520)), measured("pad", smooth(521))], palette, pair
    )
    assert found.tolerance == 7.5


def test_a_light_of_the_users_is_named(measured, palette):
    red = light_from_spectrum("stand lights", GRID, np.exp((GRID - 380) / 60))
    (found,) = compare_under_lights(
        [measured("bat", smooth(500)), measured("pad", smooth(520))], palette, lights=["D50", red]
    )
    assert [one.light for one in found.lights] == ["D50", "stand lights"]


def test_what_cannot_be_paired_gives_nothing(measured, palette):
    alone = [measured("bat", smooth(500)), measured("pad", smooth(500), ink="tarn")]
    assert compare_under_lights(alone, palette) == ()


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"D50": 0.2, "A": 0.4}, "matches under every light; at most 0.4 apart under filament"),
        ({"D50": 3.0, "A": 4.0}, "apart under every light: 3.0 by day, 4.0 apart under filament"),
        ({"D50": 3.0, "A": 2.5}, "apart under every light: 3.0 apart by day (D50)"),
        ({"D50": 0.3, "LED-B4": 2.4}, "matches by day; 2.4 apart under floodlight (LED-B4)"),
        ({"LED-B4": 0.3, "LED-B5": 2.4}, "matches under LED-B4; 2.4 apart under floodlight"),
        ({"D50": 0.3, "stand": 2.4}, "matches by day; 2.4 apart under stand"),
    ],
)
def test_words(values, words):
    under = [UnderLight(light, value, 0.0) for light, value in values.items()]
    assert say_lights(under, 2.0).startswith(words)
