"""Sines and powers that every machine agrees on.

IEEE 754 settles sums, products, quotients and square roots to the bit, so what is reckoned from
them alone is the same everywhere. A vector unit's sines and powers differ in their last bit from
another's, and an overlay of areas that nearly touch can make a corner more of that bit.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_DECIMALS = 9  # a thousandth of a µm in a metre [source: workshop-choice]


def settled(shares: NDArray[np.float64]) -> NDArray[np.float64]:
    """Values of about 1 to nine decimals, beyond what machines differ in."""
    rounded: NDArray[np.float64] = np.round(shares, _DECIMALS)
    return rounded
