"""Reflectance spectra to colour, under the packaged illuminants, for the 2° observer.

Everything is summed at 5 nm from 360 to 830 nm, scaled so that a perfect white has Y = 1.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats
from livery.colour.cielab import WHITE_D50, adapt, xyz_to_lab
from livery.errors import ColourError

_START_NM, _STOP_NM = 400.0, 700.0  # workshop choice: less than this is not the visible range
_WIDEST_STEP_NM = 20.0  # CIE 15's widest interval for a spectrum that is interpolated


@dataclass(frozen=True, slots=True, eq=False)
class Illuminant:
    """A light.

    Attributes:
        wavelengths_nm: shape (n,), rising.
        power: relative spectral power, shape (n,); nothing is emitted outside.
    """

    name: str
    wavelengths_nm: Floats
    power: Floats

    @property
    def white(self) -> Floats:
        """XYZ of a perfect white under this light, Y = 1, 2° observer, shape (3,)."""
        weights: Floats = _weights(self).sum(axis=0)
        white: Floats = weights / weights[1]
        return white


def read_table(folder: str, name: str) -> tuple[tuple[str, ...], Floats]:
    """A packaged table of spectra.

    Args:
        folder: under ``livery/data``.
        name: the file's name without ``.csv``.

    Returns:
        Column names after the first, and all columns as an array (rows, 1 + names); the first
        column is the wavelength in nm.
    """
    text = files("livery.data").joinpath(folder, f"{name}.csv").read_text(encoding="utf-8")
    head, *rows = csv.reader(text.splitlines())
    return tuple(head[1:]), np.array(rows, dtype=np.float64)


@cache
def _observer() -> Floats:
    return read_table("illuminants", "observer_1931_2deg")[1]


@cache
def _illuminants() -> dict[str, Illuminant]:
    names, table = read_table("illuminants", "illuminants")
    return {
        name: Illuminant(name, table[:, 0], table[:, column])
        for column, name in enumerate(names, start=1)
    }


def illuminant(name: str) -> Illuminant:
    """The packaged light of that name.

    Raises:
        ColourError: no such light; the message lists them.

    Source:
        cie-15, colour-science
    """
    try:
        return _illuminants()[name]
    except KeyError:
        raise ColourError(
            f"illuminant {name!r} is not one of {', '.join(_illuminants())}."
        ) from None


def spectrum_to_xyz(
    wavelengths_nm: ArrayLike, reflectance: ArrayLike, illuminant: str | Illuminant = "D50"
) -> Floats:
    """Reflectance to tristimulus values, 2° observer.

    Between its wavelengths a spectrum is interpolated by a cubic spline; outside them it keeps
    its end values.

    Args:
        wavelengths_nm: shape (n,), rising, covering 400 to 700 nm at least every 20 nm.
        reflectance: reflectance factor, 1 for a perfect white, shape (..., n).
        illuminant: a packaged light's name, or a light.

    Returns:
        X, Y, Z with Y = 1 for a perfect white, shape (..., 3).

    Raises:
        ColourError: wavelengths that do not serve, values not finite, or an unknown light.

    Source:
        cie-15
    """
    light = as_light(illuminant)
    wavelengths, values = _checked(wavelengths_nm, reflectance)
    weights = _weights(light)
    weighted = resampling(wavelengths, _observer()[:, 0]).T @ weights
    xyz: Floats = values @ weighted / weights[:, 1].sum()
    return xyz


def spectrum_to_lab(
    wavelengths_nm: ArrayLike,
    reflectance: ArrayLike,
    illuminant: str | Illuminant = "D50",
    adapt_to_d50: bool = False,
) -> Floats:
    """Reflectance to CIELAB, 2° observer.

    Args:
        wavelengths_nm: shape (n,), as for ``spectrum_to_xyz``.
        reflectance: shape (..., n).
        illuminant: a packaged light's name, or a light.
        adapt_to_d50: take the colour seen under the light to D50 by Bradford's transform before
            CIELAB; otherwise CIELAB is reckoned from the light's own white.

    Returns:
        L*, a*, b*, shape (..., 3); a perfect white is exactly (100, 0, 0).

    Raises:
        ColourError: as for ``spectrum_to_xyz``.

    Source:
        cie-15, bradford
    """
    light = as_light(illuminant)
    xyz = spectrum_to_xyz(wavelengths_nm, reflectance, light)
    if adapt_to_d50:
        return xyz_to_lab(adapt(xyz, light.white, WHITE_D50))
    return xyz_to_lab(xyz, light.white)


def resampling(wavelengths_nm: Floats, wanted_nm: Floats) -> Floats:
    """The matrix that takes values at ``wavelengths_nm`` to ``wanted_nm``, shape (wanted, n).

    A cubic spline inside the range, the end values outside it. It is kept, and not to be written.

    Source:
        cie-15
    """
    return _resampling(tuple(wavelengths_nm.tolist()), tuple(wanted_nm.tolist()))


@lru_cache(maxsize=64)
def _resampling(have_nm: tuple[float, ...], wanted_nm: tuple[float, ...]) -> Floats:
    matrix: Floats = np.eye(len(have_nm))
    if have_nm != wanted_nm:
        from scipy.interpolate import CubicSpline  # type: ignore[import-untyped] # has no types

        matrix = CubicSpline(have_nm, matrix)(np.clip(wanted_nm, have_nm[0], have_nm[-1]))
    matrix.flags.writeable = False
    return matrix


def as_light(light: str | Illuminant) -> Illuminant:
    """A light, or the packaged one of that name.

    Raises:
        ColourError: no such light.
    """
    return illuminant(light) if isinstance(light, str) else light


def _weights(light: Illuminant) -> Floats:
    """The observer times the light on the observer's grid, shape (95, 3), not normalised."""
    table = _observer()
    power = np.interp(table[:, 0], light.wavelengths_nm, light.power, left=0.0, right=0.0)
    weights: Floats = table[:, 1:] * power[:, None]
    return weights


def _checked(wavelengths_nm: ArrayLike, reflectance: ArrayLike) -> tuple[Floats, Floats]:
    wavelengths = np.asarray(wavelengths_nm, dtype=np.float64)
    values = np.asarray(reflectance, dtype=np.float64)
    if wavelengths.ndim != 1 or wavelengths.size < 4 or not np.isfinite(wavelengths).all():
        raise ColourError("wavelengths: a list of at least four wavelengths in nm is needed.")
    steps = np.diff(wavelengths)
    if steps.min() <= 0.0 or steps.max() > _WIDEST_STEP_NM:
        raise ColourError(
            f"wavelengths: they must rise by at most {_WIDEST_STEP_NM:g} nm from one to the next."
        )
    if wavelengths[0] > _START_NM or wavelengths[-1] < _STOP_NM:
        raise ColourError(
            f"wavelengths: {wavelengths[0]:g} to {wavelengths[-1]:g} nm. "
            f"At least {_START_NM:g} to {_STOP_NM:g} nm is needed."
        )
    if values.ndim == 0 or values.shape[-1] != wavelengths.size:
        raise ColourError(
            f"reflectance: shape {values.shape} for {wavelengths.size} wavelengths. "
            "One value is needed for each."
        )
    if not np.isfinite(values).all():
        raise ColourError("reflectance: a value is not finite. Look for a missing reading.")
    return wavelengths, values
