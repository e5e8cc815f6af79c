"""What regions and patches agree on when their pixels are read: what tells, and how surely."""

from __future__ import annotations

import numpy as np

from livery.colour import Floats

# Codes of 255 that are no evidence: above, the sensor or the file is full; below, empty.
FULL, EMPTY = 250, 1  # [source: camera-trials]
LEAST_PIXELS = 12  # that make a colour [source: workshop-choice]
TILES = 5  # tiles a side, whose means tell the spread of the mean [source: workshop-choice]
OUTLIER = 4.5  # robust standard deviations off the middle [source: workshop-choice]
# From the median distance from the middle to a normal's standard deviation.
# [source: common-practice]
MAD_TO_SD = 1.4826
# Degrees of freedom that a spread of three channels lacks: one told by n tiles falls short by
# (n - 1) / (n - 5), where distances are told in its terms. [source: common-practice]
_LACKING = 4.0


def cov_of_means(means: Floats, weights: Floats) -> Floats:
    """Covariance of a mean, from tiles: neighbouring pixels are no independent witnesses.

    Args:
        means: of each tile, shape (..., t, 3).
        weights: each tile's share of the pixels, shape (..., t), 1 together.

    Returns:
        Shape (..., 3, 3).
    """
    weight = weights[..., None]
    centred = means - (weight * means).sum(axis=-2, keepdims=True)
    cov: Floats = np.swapaxes(centred * weight**2, -1, -2) @ centred
    together = (weight**2).sum(axis=-2, keepdims=True)
    freedom = 1.0 / together - 1.0
    return np.asarray(cov / together / np.maximum(freedom - _LACKING, 1.0))
