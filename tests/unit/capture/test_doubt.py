"""How sure of a colour one may be: on invented dyed things, without pictures in between."""

from dataclasses import replace

import numpy as np
import pytest

from livery.capture.characterise import choose_model, sample_lab
from livery.capture.colour_model import Patches
from livery.capture.doubt import doubt_about, misfit_cov
from livery.colour import spectrum_to_xyz, xyz_to_lab
from livery.rehearsal.sensor import camera_rgb, rendition_spectra
from livery.scheme.model import Spectrum

WAVELENGTHS = np.arange(380.0, 731.0, 10.0)
INSIDE_95 = 7.815  # chi-square, three degrees of freedom


def _wander(generator, low, high, depth):
    reach = np.exp(generator.uniform(np.log(low), np.log(high)))
    apart = np.subtract.outer(WAVELENGTHS, WAVELENGTHS) / reach
    root = np.linalg.cholesky(np.exp(-0.5 * apart**2) + 1e-6 * np.eye(len(WAVELENGTHS)))
    return depth * root @ generator.normal(size=len(WAVELENGTHS))


def _dyed(generator):
    """Edges, bumps and dips between two levels, with smooth wander and finer shoulders."""
    low, high = generator.uniform(0.03, 0.25), generator.uniform(0.25, 0.9)
    kind = generator.integers(3)
    if kind == 0:
        edge, width = generator.uniform(480, 640), generator.uniform(7, 35)
        shape = 1.0 / (1.0 + np.exp(-(WAVELENGTHS - edge) / width))
    else:
        middle, width = generator.uniform(420, 620), generator.uniform(22, 80)
        shape = np.exp(-0.5 * ((WAVELENGTHS - middle) / width) ** 2)
        shape = shape if kind == 1 else 1.0 - shape
    change = np.exp(_wander(generator, 50, 150, 0.15) + _wander(generator, 18, 50, 0.08))
    return np.clip((low + (high - low) * shape) * change, 0.015, 0.95)


@pytest.fixture(scope="module")
def dyed():
    generator = np.random.default_rng(21)
    spectra = [Spectrum(WAVELENGTHS, _dyed(generator)) for _ in range(150)]
    lab = _labs(spectra)
    keep = np.hypot(lab[:, 1], lab[:, 2]) < 66.0
    return [spectrum for spectrum, kept in zip(spectra, keep, strict=True) if kept]


def _labs(spectra):
    table = np.stack([spectrum.reflectance for spectrum in spectra])
    return xyz_to_lab(spectrum_to_xyz(spectra[0].wavelengths_nm, table, "D50"))


def _fitted(sensor, light):
    spectra = tuple(spectrum for _, spectrum in rendition_spectra())
    place = np.stack(np.meshgrid(np.linspace(-1, 1, 6), np.linspace(-0.6, 0.6, 4)), axis=-1)
    rgb = camera_rgb(spectra, sensor, light)
    patches = Patches(rgb, place.reshape(-1, 2), _labs(spectra), np.ones(24))
    return choose_model(patches), patches


def _modelled(sensor, light):
    fit, patches = _fitted(sensor, light)
    return fit, doubt_about(fit, patches)


@pytest.mark.parametrize("sensor", ["nikon-5100", "sigma-sdmerill"])
@pytest.mark.parametrize("light", ["D50", "D65", "LED-B3", "FL11", "A"])
def test_regions_of_95_per_cent_cover_about_as_many(dyed, sensor, light):
    fit, doubt = _modelled(sensor, light)
    rgb = camera_rgb(tuple(dyed), sensor, light)
    noise = np.repeat(1e-8 * np.eye(3)[None], len(rgb), axis=0)
    lab, cov, shared, misfit = sample_lab(fit, doubt, rgb, noise, np.zeros((len(rgb), 2)))
    away = lab - _labs(dyed)
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
