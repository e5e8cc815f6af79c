"""A reflectance for a colour: the smoothest one that has exactly that colour under D50.

Used where a spectrum must be invented, as for simulated photographs. It is one of endlessly
many with that colour, so it says nothing of how a real ink looks under another light.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.colour.cielab import lab_to_xyz
from livery.colour.spectra import illuminant, spectrum_to_xyz
from livery.errors import ColourError

WAVELENGTHS_NM = np.arange(380.0, 731.0, 10.0)  # the range and step instruments write
_LEAST, _MOST = 0.002, 0.998  # workshop choice: no print is blacker or whiter
_STEPS = 60  # workshop choice: possible colours need under twenty
_CLOSE = 1e-10  # workshop choice: largest residual left


def spectrum_for_lab(lab: ArrayLike) -> Floats:
    """The smoothest reflectance with a given colour under D50, 2°.

    Smooth means the least sum of squared steps of atanh(2ρ − 1), whose inverse never leaves
    0..1; solved by Newton's method on the Lagrange conditions.

    Args:
        lab: CIELAB D50/2°, shape (3,), of a colour that a matt surface can have.

    Returns:
        Reflectance at ``WAVELENGTHS_NM`` (380 to 730 nm every 10 nm), shape (36,).

    Raises:
        ColourError: wrong shape, not finite, or no reflectance within 0..1 has that colour.

    Source:
        burns-2020
    """
    values = as_triples(lab, "lab")
    if values.shape != (3,):
        raise ColourError(f"lab: shape {values.shape}. One colour at a time, shape (3,).")
    xyz = lab_to_xyz(values, illuminant("D50").white)
    weights = spectrum_to_xyz(WAVELENGTHS_NM, np.eye(WAVELENGTHS_NM.size), "D50")
    spectrum = _solve(weights.T, xyz)
    if spectrum is None:
        raise ColourError(
            f"lab {tuple(float(v) for v in values)}: no reflectance has that colour under D50. "
            "Choose a duller or a darker one."
        )
    return spectrum


def _solve(weights: Floats, xyz: Floats) -> Floats | None:
    count = weights.shape[1]
    roughness = 2.0 * np.eye(count) - np.eye(count, k=1) - np.eye(count, k=-1)
    roughness[0, 0] = roughness[-1, -1] = 1.0
    start = float(np.clip(xyz[1], _LEAST, _MOST))
    latent = np.full(count, np.arctanh(2.0 * start - 1.0))
    multipliers = np.zeros(3)
    for _ in range(_STEPS):
        shape = np.tanh(latent)
        slope = 0.5 * (1.0 - shape * shape)
        residual = weights @ (0.5 * (shape + 1.0)) - xyz
        jacobian = weights * slope
        gradient = roughness @ latent + jacobian.T @ multipliers
        if max(np.abs(residual).max(), np.abs(gradient).max()) < _CLOSE:
            spectrum: Floats = 0.5 * (shape + 1.0)
            return spectrum
        curved = roughness + np.diag((weights.T @ multipliers) * -2.0 * shape * slope)
        system = np.block([[curved, jacobian.T], [jacobian, np.zeros((3, 3))]])
        try:
            step = np.linalg.solve(system, np.concatenate([gradient, residual]))
        except np.linalg.LinAlgError:
            return None
        if not np.isfinite(step).all():
            return None
        damping = min(1.0, 2.0 / max(float(np.abs(step[:count]).max()), 1e-300))
        latent = latent - damping * step[:count]
        multipliers = multipliers - damping * step[count:]
    return None
