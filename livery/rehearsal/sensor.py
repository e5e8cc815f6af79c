"""A camera's colour: its published spectral sensitivities under a light, and its own matrix."""

from __future__ import annotations

from functools import cache

import numpy as np

from livery.colour import (
    Floats,
    illuminant,
    read_table,
    resampling,
    spectrum_to_xyz,
    xyz_to_srgb_linear,
)
from livery.errors import ColourError
from livery.scheme.model import Spectrum

SENSORS = ("nikon-5100", "sigma-sdmerill")
_GRID_NM = np.arange(380.0, 781.0, 5.0)  # of the finest packaged table: darrodi-2015


@cache
def _sensitivity(sensor: str) -> Floats:
    """Red, green and blue on the grid, shape (81, 3); a sensor sees nothing outside its table.

    Raises:
        ColourError: an unknown sensor.

    Source:
        darrodi-2015
    """
    if sensor not in SENSORS:
        raise ColourError(f"camera: {sensor!r} is no known sensor. Use {' or '.join(SENSORS)}.")
    _, table = read_table("cameras", sensor)
    columns = [
        np.interp(_GRID_NM, table[:, 0], table[:, i], left=0.0, right=0.0) for i in (1, 2, 3)
    ]
    return np.stack(columns, axis=1)


def camera_rgb(spectra: tuple[Spectrum, ...], sensor: str, light: str) -> Floats:
    """Raw responses, balanced so that a perfect white under the light is (1, 1, 1).

    Args:
        spectra: reflectances.
        sensor: key of packaged sensitivities.
        light: name of a packaged illuminant.

    Returns:
        Shape (len(spectra), 3).

    Raises:
        ColourError: an unknown sensor or light.

    Source:
        darrodi-2015
    """
    lamp = illuminant(light)
    power = np.interp(_GRID_NM, lamp.wavelengths_nm, lamp.power, left=0.0, right=0.0)
    weights = _sensitivity(sensor) * power[:, None]
    weights = weights / weights.sum(axis=0)
    rows = [
        resampling(spectrum.wavelengths_nm, _GRID_NM) @ spectrum.reflectance for spectrum in spectra
    ]
    rgb: Floats = np.array(rows).reshape(-1, _GRID_NM.size) @ weights
    return rgb


@cache
def rendition_patches() -> tuple[Spectrum, ...]:
    """The 24 published reflectances of the rendition chart, in its order.

    Source:
        babelcolor
    """
    names, table = read_table("rendition", "spectra")
    return tuple(Spectrum(table[:, 0], table[:, column]) for column, _ in enumerate(names, 1))


@cache
def colour_matrix(sensor: str) -> Floats:
    """The camera's own matrix from balanced raw to linear sRGB, shape (3, 3).

    Least squares on the 24 published patches under D50, keeping white white: what a maker would
    burn in, and as wrong under other lights.

    Raises:
        ColourError: an unknown sensor.

    Source:
        darrodi-2015, babelcolor
    """
    spectra = rendition_patches()
    raw = camera_rgb(spectra, sensor, "D50")
    wavelengths = spectra[0].wavelengths_nm
    xyz = spectrum_to_xyz(wavelengths, np.stack([s.reflectance for s in spectra]), "D50")
    ideal = xyz_to_srgb_linear(xyz, illuminant("D50").white)
    # Rows sum to 1, so the third column follows from the first two.
    free, *_ = np.linalg.lstsq(raw[:, :2] - raw[:, 2:], ideal - raw[:, 2:], rcond=None)
    matrix: Floats = np.column_stack([free.T, 1.0 - free.sum(axis=0)])
    return matrix
