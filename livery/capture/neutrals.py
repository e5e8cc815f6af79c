"""Greys and whites of a target, which tell how its light falls and what colour it has."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from livery.colour import Floats, lab_to_xyz

_GREY, _DARK = 6.0, 30.0  # chroma below, lightness above [source: workshop-choice]


def is_neutral(lab: Floats) -> NDArray[np.bool_]:
    """Which colours, shape (n, 3), are greys or whites light enough to tell how light falls."""
    return np.asarray((np.hypot(lab[:, 1], lab[:, 2]) < _GREY) & (lab[:, 0] > _DARK), np.bool_)


def balance(rgb: Floats, lab: Floats) -> Floats:
    """Each channel's linear light at Y = 1, from the neutrals, or from all without them.

    Args:
        rgb: linear light of the patches, shape (n, 3).
        lab: their reference, shape (n, 3).
    """
    neutral = is_neutral(lab)
    use = neutral if neutral.sum() >= 2 else np.ones(len(lab), dtype=np.bool_)
    luminance = np.maximum(lab_to_xyz(lab[use])[:, 1:2], 1e-4)
    return np.maximum(np.median(rgb[use] / luminance, axis=0), 1e-4)
