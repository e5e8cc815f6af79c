"""One lamp or two, told by a target's colours."""

import numpy as np
import pytest

from livery.capture import RENDITION_KEY, RENDITION_KEYS, rendition_24
from livery.capture.colour_model import Patches
from livery.capture.gates import MOST_LIGHTS, one_light_gate
from livery.capture.mixed_light import light_drift
from livery.capture.model_choice import choose_model
from livery.capture.neutrals import balance
from livery.colour import spectrum_to_lab
from livery.rehearsal import rendition_patches
from livery.rehearsal.sensor import SENSORS, camera_rgb, colour_matrix

OLDER_KEY = next(key for key in RENDITION_KEYS if key != RENDITION_KEY)
SPECTRA = rendition_patches()
LIGHTS = ("D50", "D65", "LED-B3", "FL11", "A")
# Warmth of the whites of two lamps: red, green and blue of the second over the first, about.
WARMER = np.array([1.6, 1.0, 0.45])


def _place():
    target = rendition_24(OLDER_KEY)
    middles = np.array([patch.middle_mm for patch in target.patches])
    return np.stack(target.place(*middles.T), axis=1)


def _shown(sensor, lights, shares, published, seed):
    """The chart under the first light, of which the second takes shares from left to right."""
    place, generator = _place(), np.random.default_rng(seed)
    share = np.interp(place[:, 0], (-1.0, 1.0), shares)[:, None]
    first, second = (camera_rgb(SPECTRA, sensor, light) for light in lights)
    white = WARMER if lights[0] != lights[1] else np.ones(3)
    mixed = (1.0 - share) * first + share * second * white
    mixed /= 1.0 - np.mean(shares) + np.mean(shares) * white
    uneven = 1.0 - 0.25 * (0.5 + 0.5 * place @ np.array([0.6, 0.8]))
    rgb = 0.8 * (0.98 * mixed * uneven[:, None] + 0.006) @ colour_matrix(sensor).T
    rgb *= 1.0 + 0.003 * generator.standard_normal(rgb.shape)
    good = (rgb.min(axis=1) > 0.001) & (rgb.max(axis=1) < 0.95)
    true = np.array([spectrum_to_lab(s.wavelengths_nm, s.reflectance, "D50") for s in SPECTRA])
    told = np.array([patch.lab for patch in rendition_24(OLDER_KEY).patches])
    lab, lab_sd = (told, 0.5) if published else (true, 0.2)
    level = float(balance(rgb[good], lab[good]).max())
    ones = np.ones(int(good.sum()))
    return Patches(rgb[good] / level, place[good], lab[good], ones, None, lab_sd)


def _drift(*what):
    shown = _shown(*what)
    return light_drift(choose_model(shown), shown)


@pytest.mark.parametrize("published", [False, True], ids=["own values", "as published"])
@pytest.mark.parametrize("sensor", SENSORS)
@pytest.mark.parametrize("light", LIGHTS)
def test_a_chart_in_one_light_passes(sensor, light, published):
    assert _drift(sensor, (light, light), (0.5, 0.5), published, 1) <= MOST_LIGHTS


@pytest.mark.parametrize("published", [False, True], ids=["own values", "as published"])
@pytest.mark.parametrize("sensor", SENSORS)
@pytest.mark.parametrize("shares", [(0.3, 0.7), (0.7, 0.35)])
def test_a_chart_between_window_and_lamp_is_refused(sensor, shares, published):
    drift = _drift(sensor, ("D65", "A"), shares, published, 2)
    gate = one_light_gate(drift)
    assert not gate.ok
    assert "Use one light alone" in gate.advice


def test_too_few_patches_tell_nothing():
    shown = _shown(SENSORS[0], ("D50", "D50"), (0.5, 0.5), False, 3)
    fit = choose_model(shown)
    few = Patches(shown.rgb[:12], shown.place[:12], shown.lab[:12], shown.weight[:12])
    assert light_drift(fit, few) is None
