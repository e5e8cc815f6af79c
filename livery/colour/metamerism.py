"""The same pairs under many lights: which match by day and part under another.

A reflectance is needed: one photograph cannot tell. All pairs and lights are reckoned at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.colour.arrays import Floats
from livery.colour.cielab import xyz_to_lab
from livery.colour.difference import ciede2000
from livery.colour.spectra import Illuminant, as_light, spectrum_to_xyz
from livery.errors import ColourError

LIGHTS = ("D50", "D65", "A", "FL11", "LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5")
"""What kit is seen in: print viewing, day, filament, shop tubes, LED from warm to floodlight."""


@dataclass(frozen=True, slots=True, eq=False)
class UnderLights:
    """Pairs of surfaces under lights.

    Attributes:
        lights: names, in the order of the first axis below.
        lab: CIELAB from each light's own white, 2°, shape (lights, surfaces, 3).
        de00: ΔE00 of each pair, shape (lights, pairs).
        index: special metamerism index of each pair against the reference light, in ΔE00, shape
            (lights, pairs); zero under the reference itself.
        reference: name of the reference light.
    """

    lights: tuple[str, ...]
    lab: Floats
    de00: Floats
    index: Floats
    reference: str


def see_under_lights(
    wavelengths_nm: ArrayLike,
    reflectance: ArrayLike,
    pairs: ArrayLike | None = None,
    lights: Sequence[str | Illuminant] = LIGHTS,
    reference: str | Illuminant = "D50",
) -> UnderLights:
    """Look at pairs of surfaces under every light.

    Args:
        wavelengths_nm: shape (n,), as for ``spectrum_to_xyz``.
        reflectance: shape (surfaces, n).
        pairs: rows of the standard and the sample, shape (pairs, 2); every pair if not given.
        lights: packaged lights by name, or lights.
        reference: the light under which the pair is meant to match.

    Returns:
        Colours, differences and indices.

    Raises:
        ColourError: as for ``spectrum_to_xyz``; a black surface (no index can be had); pairs that
            name no surface.

    Source:
        [source: iso-18314-4] for the index; [source: cie-15]
    """
    shown = [as_light(light) for light in lights]
    xyz = np.stack([spectrum_to_xyz(wavelengths_nm, reflectance, light) for light in shown])
    if xyz.ndim != 3:
        raise ColourError("reflectance: give one row for each surface, shape (surfaces, n).")
    home = spectrum_to_xyz(wavelengths_nm, reflectance, as_light(reference))
    rows = _pairs(pairs, xyz.shape[1])
    standard, sample = rows[:, 0], rows[:, 1]
    whites = np.stack([light.white for light in shown])[:, None, :]
    lab = xyz_to_lab(xyz, whites)
    corrected = correct_to_match(xyz[:, sample], home[standard], home[sample])
    index = ciede2000(lab[:, standard], xyz_to_lab(corrected, whites))
    names = tuple(light.name for light in shown)
    de00 = ciede2000(lab[:, standard], lab[:, sample])
    return UnderLights(names, lab, de00, index, as_light(reference).name)


def correct_to_match(
    sample_test: ArrayLike, standard_reference: ArrayLike, sample_reference: ArrayLike
) -> Floats:
    """The multiplicative correction: the sample, had it matched under the reference light.

    Each tristimulus value under the test light is multiplied by the ratio of standard to sample
    under the reference light.

    Args:
        sample_test: XYZ of samples under the test light, shape (..., 3).
        standard_reference: XYZ of standards under the reference light, shape (..., 3).
        sample_reference: XYZ of samples under the reference light, shape (..., 3).

    Returns:
        Corrected XYZ of the samples under the test light, shape (..., 3).

    Raises:
        ColourError: a sample reflects nothing, so that no ratio can be had.

    Source:
        [source: iso-18314-4]
    """
    beneath = np.asarray(sample_reference, dtype=np.float64)
    if not (beneath > 0.0).all():
        raise ColourError(
            "metamerism: a surface reflects nothing under the reference light. "
            "Look for a missing or zeroed reading."
        )
    ratio = np.asarray(standard_reference, dtype=np.float64) / beneath
    corrected: Floats = np.asarray(sample_test, dtype=np.float64) * ratio
    return corrected


def light_from_spectrum(name: str, wavelengths_nm: ArrayLike, power: ArrayLike) -> Illuminant:
    """A light of one's own, from its measured spectrum.

    A spectrum measured more finely than every 5 nm is gathered, not sampled, so that the narrow
    lines of a lamp keep their energy.

    Args:
        name: what to call it.
        wavelengths_nm: shape (n,), rising, covering 400 to 700 nm at least every 20 nm.
        power: relative spectral power, shape (n,), nowhere below zero.

    Returns:
        The light, every 5 nm where it was finer.

    Raises:
        ColourError: wavelengths or powers that do not serve.

    Source:
        [source: cie-15]
    """
    waves, powers = (np.asarray(v, dtype=np.float64) for v in (wavelengths_nm, power))
    if waves.ndim != 1 or waves.size < 4 or powers.shape != waves.shape:
        raise ColourError(f"light {name}: give one power for each of at least four wavelengths.")
    if not (np.isfinite(waves).all() and np.isfinite(powers).all()):
        raise ColourError(f"light {name}: a value is not finite. Look for a missing reading.")
    steps = np.diff(waves)
    if steps.min() <= 0.0 or steps.max() > 20.0 or waves[0] > 400.0 or waves[-1] < 700.0:
        raise ColourError(
            f"light {name}: its wavelengths must rise from 400 nm or less to 700 nm or more, by "
            "at most 20 nm from one to the next."
        )
    if powers.min() < 0.0 or powers.sum() <= 0.0:
        raise ColourError(f"light {name}: a power below zero, or no light at all.")
    if steps.max() >= 5.0:
        return Illuminant(name, waves, powers)
    grid = np.arange(5.0 * np.ceil(waves[0] / 5.0), waves[-1] + 1e-9, 5.0)
    share = np.clip(1.0 - np.abs(waves[None, :] - grid[:, None]) / 5.0, 0.0, None)
    widths = np.gradient(waves)
    weight = share * widths
    gathered = (weight @ powers) / weight.sum(axis=1)
    return Illuminant(name, grid, gathered)


def _pairs(pairs: ArrayLike | None, surfaces: int) -> NDArray[np.intp]:
    if pairs is None:
        return np.stack(np.triu_indices(surfaces, k=1), axis=1)
    rows = np.asarray(pairs)
    whole = rows.ndim == 2 and rows.shape[1] == 2 and np.issubdtype(rows.dtype, np.integer)
    if not whole or (rows.size and not (rows.min() >= 0 and rows.max() < surfaces)):
        raise ColourError(f"pairs: give rows of two whole numbers, 0 to {surfaces - 1}.")
    return rows.astype(np.intp)
