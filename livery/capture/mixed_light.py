"""Whether one lamp lights a target, or two of different colours from its ends (mixed light).

A model has one matrix for the whole target, so that under a second light colours are misread, and
the more the further over. Where a target has greys enough along its length they tell by
themselves. On a chart whose greys lie in one row all patches tell together: by what the model
errs less where the light's colour may change over the chart, against what it errs in any case.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_fit import linearise
from livery.capture.colour_metric import lab_to_weighted
from livery.capture.colour_model import Fit, Patches, light_slopes, predict_lab
from livery.capture.neutrals import is_neutral
from livery.colour import Floats

_LEAST_GREYS = 10  # that tell lights apart by themselves [source: workshop-choice]
_LEAST_PATCHES = 18  # that tell lights apart together [source: workshop-choice]
# Ratio of variances (F) above which it is the light. A model's errors are no noise: under one light
# invented cameras, lamps and charts go above it in 2 of 1200 cases. [source: camera-trials]
_SURE = 10.0
_OUTER = (0, 2)  # red and blue; how green falls off is taken for light and shade
_LEAST_ERROR = 1e-9  # weighted variance that a model is taken to leave [source: workshop-choice]


def light_drift(fit: Fit, shown: Patches) -> float | None:
    """How far greys surely drift in a*, b* (D50/2°) from one end of a target to the other.

    Args:
        fit: the photograph's model.
        shown: the patches it rests on.

    Returns:
        0 where it may be the model that errs; None where too few patches tell.
    """
    grey = is_neutral(shown.lab)
    if grey.sum() >= _LEAST_GREYS:
        return _longest(_by_greys(fit, shown, grey), shown.place[grey])
    if grey.any() and len(shown.lab) >= _LEAST_PATCHES:
        return _longest(_by_all(fit, shown, grey), shown.place)
    return None


def _longest(steep: Floats, place: Floats) -> float:
    """The drift over the longer diagonal, of a*, b* by place, shape (2, 2)."""
    across, along = steep.T * np.ptp(place, axis=0)[:, None]
    return max(float(np.hypot(*drift)) for drift in (across + along, across - along))


def _by_greys(fit: Fit, shown: Patches, grey: NDArray[np.bool_]) -> Floats:
    """Drift of a*, b* by place, shape (2, 2). What lightness does is not put down to place."""
    place = shown.place[grey]
    error = (predict_lab(fit, shown.rgb, shown.place) - shown.lab)[grey, 1:]
    terms = np.column_stack([np.ones(len(place)), shown.lab[grey, 0] / 100.0, place])
    steep: Floats = np.linalg.lstsq(terms, error, rcond=None)[0][2:].T
    return steep


def _by_all(fit: Fit, shown: Patches, grey: NDArray[np.bool_]) -> Floats:
    """The same by all patches; nothing where the model's own errors may be as large.

    Source:
        Test of added parameters by the ratio of variances [source: common-practice].
    """
    left = linearise(fit, shown)
    slopes = light_slopes(fit, shown.rgb, shown.place) * shown.rgb[:, None]
    weighted = lab_to_weighted(shown.lab) @ slopes * np.sqrt(shown.weight)[:, None, None]
    falls = weighted[:, :, _OUTER, None] * shown.place[:, None, None]
    error, model = left.error.ravel(), left.slopes.reshape(left.error.size, -1)
    added = falls.reshape(error.size, -1)
    own = added - model @ (left.inverse @ (model.T @ added))
    square = added.T @ own
    fall = np.linalg.solve(square, own.T @ error)
    told = float(fall @ square @ fall)
    used = float(np.einsum("ip,pq,iq->", model, left.inverse, model)) + len(fall)
    rest = max((float(error @ error) - told) / (error.size - used), _LEAST_ERROR)
    if told / len(fall) <= _SURE * rest:
        return np.zeros((2, 2))
    steep: Floats = slopes[grey][:, 1:, _OUTER].mean(axis=0) @ fall.reshape(2, 2)
    return steep
