"""colour-science, an independent reference, imported without its warnings of optional libraries."""

import warnings
from collections.abc import Sequence

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour
    from colour.quality.cfi2017 import load_TCS_CIE2017

__all__ = ["WHITE_A", "chromaticity", "colour", "load_TCS_CIE2017"]

WHITE_A = (1.09850, 1.0, 0.35585)
"""XYZ of illuminant A, 2° observer, as ASTM E308 prints it."""


def chromaticity(white: Sequence[float]) -> np.ndarray:
    """The x and y of a white's XYZ."""
    return np.array(white[:2]) / sum(white)
