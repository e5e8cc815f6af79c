"""What every formula of this room accepts: finite float64 triples along the last axis."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.errors import ColourError

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Reals = NDArray[np.floating[Any]]
_LARGEST = 1e6  # workshop choice: beyond any colour, and far below overflow of a seventh power


def as_triples(values: ArrayLike, name: str) -> Floats:
    """Colours as float64, checked.

    Args:
        values: shape (..., 3).
        name: what they are, for the message.

    Returns:
        The same values, shape (..., 3), not copied where that can be helped.

    Raises:
        ColourError: another shape, not numbers, not finite or absurdly large.
    """
    try:
        array = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise ColourError(f"{name}: not an array of numbers. Give shape (..., 3).") from error
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ColourError(f"{name}: shape {array.shape}. Three values are needed on the last axis.")
    if array.size and not (array.max() <= _LARGEST and array.min() >= -_LARGEST):
        raise ColourError(
            f"{name}: a value is not finite or beyond ±{_LARGEST:g}. Look for a missing reading."
        )
    return array
