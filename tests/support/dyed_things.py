"""Invented reflectances of dyed things, on which camera models and their doubt are settled."""

import numpy as np

from livery.colour import spectrum_to_lab
from livery.scheme.model import Spectrum

WAVELENGTHS = np.arange(380.0, 731.0, 10.0)


def labs(spectra):
    """CIELAB D50/2° of spectra on the same wavelengths, shape (n, 3)."""
    table = np.stack([spectrum.reflectance for spectrum in spectra])
    return spectrum_to_lab(spectra[0].wavelengths_nm, table)


def dyed_things(seed, count):
    """Those of so many that are no stronger than dyes are, a tuple of spectra."""
    generator = np.random.default_rng(seed)
    spectra = [Spectrum(WAVELENGTHS, _dyed(generator)) for _ in range(count)]
    chroma = np.hypot(*labs(spectra)[:, 1:].T)
    return tuple(spectrum for spectrum, c in zip(spectra, chroma, strict=True) if c < 66.0)


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


def _wander(generator, low, high, depth):
    reach = np.exp(generator.uniform(np.log(low), np.log(high)))
    apart = np.subtract.outer(WAVELENGTHS, WAVELENGTHS) / reach
    root = np.linalg.cholesky(np.exp(-0.5 * apart**2) + 1e-6 * np.eye(len(WAVELENGTHS)))
    return depth * root @ generator.normal(size=len(WAVELENGTHS))
