"""How sure of a colour one may be: on invented dyed things, without pictures in between."""

from dataclasses import replace

import numpy as np
import pytest
from dyed_things import dyed_things, labs

from livery.capture.colour_model import Patches
from livery.capture.doubt import doubt_about, misfit_cov, sample_lab
from livery.capture.model_choice import choose_model
from livery.rehearsal.sensor import camera_rgb, rendition_patches

INSIDE_95 = 7.815  # chi-square, three degrees of freedom


@pytest.fixture(scope="module")
def dyed():
    return dyed_things(21, 150)


def _fitted(sensor, light):
    spectra = rendition_patches()
    place = np.stack(np.meshgrid(np.linspace(-1, 1, 6), np.linspace(-0.6, 0.6, 4)), axis=-1)
    rgb = camera_rgb(spectra, sensor, light)
    patches = Patches(rgb, place.reshape(-1, 2), labs(spectra), np.ones(24))
    return choose_model(patches), patches


def _modelled(sensor, light):
    fit, patches = _fitted(sensor, light)
    return fit, doubt_about(fit, patches)


@pytest.mark.parametrize("sensor", ["nikon-5100", "sigma-sdmerill"])
@pytest.mark.parametrize("light", ["D50", "D65", "LED-B3", "FL11", "A"])
def test_regions_of_95_per_cent_cover_about_as_many(dyed, sensor, light):
    fit, doubt = _modelled(sensor, light)
    rgb = camera_rgb(dyed, sensor, light)
    noise = np.repeat(1e-8 * np.eye(3)[None], len(rgb), axis=0)
    lab, cov, shared, misfit = sample_lab(fit, doubt, rgb, noise, np.zeros((len(rgb), 2)))
    away = lab - labs(dyed)
    far = np.einsum("ni,nij,nj->n", away, np.linalg.inv(cov), away)
    assert 0.91 <= (far < INSIDE_95).mean() <= 0.995
    for part in (misfit, shared - misfit, cov - shared):
        assert np.linalg.eigvalsh(part).min() > -1e-9


def test_patches_near_a_colour_speak_for_it():
    _, doubt = _modelled("nikon-5100", "D50")
    calm = replace(doubt, squares=doubt.squares * 0.01, explained=doubt.explained * 0.01)
    at = doubt.lab[[0]] + 1.0
    assert np.trace(misfit_cov(calm, at)[0]) < 0.2 * np.trace(misfit_cov(doubt, at)[0])
    squares = doubt.squares * 0.01
    squares[0] += np.eye(3)
    troubled = replace(calm, squares=squares)
    near, far = (np.trace(cov) for cov in misfit_cov(troubled, doubt.lab[[0, 15]]))
    assert near > 1.5 * far


def test_what_noise_explains_is_not_taken_for_misfit():
    fit, patches = _fitted("nikon-5100", "D50")
    noise = np.repeat(1e-5 * np.eye(3)[None], len(patches.rgb), axis=0)
    quiet, noisy = (doubt_about(fit, replace(patches, noise=n)) for n in (None, noise))
    at = patches.lab[:6]
    least, most = (np.trace(misfit_cov(d, at), axis1=1, axis2=2) for d in (noisy, quiet))
    assert (least < most).all()
    assert (least > 0.05 * most).all()


def test_values_published_for_all_charts_widen_the_doubt():
    fit, patches = _fitted("nikon-5100", "D50")
    loose = doubt_about(fit, replace(patches, lab_sd=0.5))
    assert loose.common_variance > 6.0 * doubt_about(fit, patches).common_variance
