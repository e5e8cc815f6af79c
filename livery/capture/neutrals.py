"""Greys and whites of a target, which tell how its light falls and what colour it has."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from livery.colour import Floats, lab_to_xyz

_GREY = 6.0  # chroma below which a colour is a grey [source: workshop-choice]
_DARK = 30.0  # L* up to which a grey tells too little of light [source: workshop-choice]
_LEAST_LIGHT = 1e-4  # share of white that is taken for black [source: workshop-choice]


def is_grey(lab: Floats) -> NDArray[np.bool_]:
    """Which colours, D50/2°, shape (n, 3), are greys, whites or blacks."""
    return np.asarray(np.hypot(lab[:, 1], lab[:, 2]) < _GREY, np.bool_)


def is_neutral(lab: Floats) -> NDArray[np.bool_]:
    """Which of them are light enough to tell how light falls, shape (n,)."""
    return np.asarray(is_grey(lab) & (lab[:, 0] > _DARK), np.bool_)


def balance(rgb: Floats, lab: Floats) -> Floats:
    """Each channel's linear light at Y = 1, shape (3,), by the neutrals; of fewer than two by all.

    Args:
        rgb: linear light of the patches, shape (n, 3).
        lab: their reference, D50/2°, shape (n, 3).
    """
    neutral = is_neutral(lab)
    use = neutral if neutral.sum() >= 2 else np.ones(len(lab), dtype=np.bool_)
    luminance = np.maximum(lab_to_xyz(lab[use])[:, 1:2], _LEAST_LIGHT)
    return np.maximum(np.median(rgb[use] / luminance, axis=0), _LEAST_LIGHT)
