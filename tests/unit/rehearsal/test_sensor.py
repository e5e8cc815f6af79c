import numpy as np
import pytest
from rasters import lab_of_linear

from livery.colour import ciede2000, spectrum_to_lab
from livery.rehearsal import rendition_patches, spectrum_of
from livery.rehearsal.sensor import SENSORS, camera_rgb, colour_matrix
from livery.scheme.model import Spectrum

WHITE = Spectrum(np.array([380.0, 500.0, 600.0, 730.0]), np.ones(4))


@pytest.mark.parametrize("sensor", SENSORS)
@pytest.mark.parametrize("light", ["D50", "A", "FL11"])
def test_a_perfect_white_is_balanced(sensor, light):
    np.testing.assert_allclose(camera_rgb((WHITE,), sensor, light), 1.0, atol=1e-9)


@pytest.mark.parametrize("sensor", SENSORS)
def test_the_matrix_keeps_white_and_is_about_as_good_as_such_a_matrix_gets(sensor):
    matrix = colour_matrix(sensor)
    np.testing.assert_allclose(matrix.sum(axis=1), 1.0)
    spectra = rendition_patches()
    assert len(spectra) == 24
    shown = lab_of_linear(camera_rgb(spectra, sensor, "D50") @ matrix.T)
    stack = np.stack([s.reflectance for s in spectra])
    errors = ciede2000(shown, spectrum_to_lab(spectra[0].wavelengths_nm, stack))
    assert 0.3 < errors.mean() < 2.5


def test_an_invented_spectrum_looks_smooth():
    spectrum = spectrum_of((58.0, 58.0, 52.0))
    assert np.abs(np.diff(spectrum.reflectance)).max() < 0.2
