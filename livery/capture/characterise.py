"""Choosing the camera model of one photograph by what it does to patches it has not seen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from livery.capture.colour_fit import fit_form, mend_nearby
from livery.capture.colour_metric import lab_to_weighted
from livery.capture.colour_model import Fit, Form, Patches, light_slopes, predict_lab, spread_cov
from livery.capture.doubt import Doubt, misfit_cov
from livery.colour import Floats

LEAST_PATCHES = 10  # patches without which no model is fitted [source: workshop-choice]
_COST = 0.03  # share by which each further parameter must pay for itself [source: workshop-choice]
# Share of the 3×3's error at which root-polynomials are preferred: on unseen materials they do
# better than leaving one patch of few out tells. [source: camera-trials]
_ROOTS = 0.85
_STRANGE = 5.0  # times the median error that makes a patch a stranger [source: workshop-choice]
_DOUBT = 0.05  # weight left to a stranger [source: workshop-choice]
# Share of the light by which it may differ from the fitted surface. [source: workshop-choice]
_LOCAL_LIGHT = 0.004
_LEAST_FOR_MORE = 18  # patches that allow more than the plainest form [source: workshop-choice]


def choose_model(patches: Patches) -> Fit:
    """Fit the forms that the number of patches allows and keep the best at leaving one out.

    Patches far worse than the rest (a stain, a finger, a reflex) are then set aside and the
    chosen form fitted again.

    Args:
        patches: at least ``LEAST_PATCHES``.

    Source:
        [source: camera-trials]
    """
    best = _search(patches)
    error = best.loo_de00
    strange = error > _STRANGE * max(float(np.median(error)), 0.5)
    if strange.any() and strange.mean() < 0.2:
        doubted = replace(patches, weight=np.where(strange, _DOUBT, patches.weight))
        best, patches = _search(doubted), doubted
    return mend_nearby(best, patches)


def _search(patches: Patches) -> Fit:
    """The best form at leaving one out, sought part by part.

    Light is never quite even, nor a lens without stray light: every form has terms for both, held
    by priors. A search that may leave them out mistakes them for the camera's colour.
    """
    fits = [fit_form(Form(shade=1, veil=1, curve=False, roots=False), patches)]
    parts: tuple[dict[str, Any], ...] = (
        {"roots": True},
        {"veil": 3},
        {"shade": 2},
        {"curve": True},
    )
    for part in parts if len(patches.rgb) >= _LEAST_FOR_MORE else ():
        best = min(fits, key=lambda fit: _score(fit, patches))
        fits.append(fit_form(replace(best.form, **part), patches))
    return min(fits, key=lambda fit: _score(fit, patches))


def _score(fit: Fit, patches: Patches) -> float:
    mean = float(np.average(fit.loo_de00, weights=patches.weight))
    return mean * (1.0 + _COST * fit.form.warps) * (_ROOTS if fit.form.roots else 1.0)


def sample_lab(
    fit: Fit, doubt: Doubt, rgb: Floats, cov_rgb: Floats, place: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """The colours of regions and how sure of them one may be.

    Args:
        fit: the photograph's model.
        doubt: about that model.
        rgb: linear light over the white level, shape (m, 3).
        cov_rgb: covariance of that, shape (m, 3, 3).
        place: positions on the target as in ``Patches``, shape (m, 2).

    Returns:
        Lab, its whole covariance, the part shared by all regions of the photograph, and of that
        the part shared only by regions of one material.
    """
    lab = predict_lab(fit, rgb, place)
    slope = light_slopes(fit, rgb, place)
    light = _LOCAL_LIGHT**2 * rgb[:, :, None] * rgb[:, None, :]
    own = slope @ (cov_rgb + light) @ slope.transpose(0, 2, 1)
    back = np.linalg.inv(lab_to_weighted(lab))
    misfit: Floats = back @ misfit_cov(doubt, lab) @ back.transpose(0, 2, 1)
    shared = spread_cov(fit, rgb, place) + misfit + np.eye(3) * doubt.common_variance
    return lab, own + shared, shared, misfit
