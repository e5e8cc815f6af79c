"""Choosing the camera model of one photograph by what it does to patches it has not seen."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from livery.capture.colour_fit import LEAST_FOR_ROOTS, fit_form, mend_nearby
from livery.capture.colour_model import Fit, Form, Patches

LEAST_PATCHES = 10  # patches without which no model is fitted [source: workshop-choice]
_COST = 0.03  # share by which each further parameter must pay for itself [source: workshop-choice]
# Share of the 3×3's error at which root-polynomials are preferred: on unseen materials they do
# better than leaving one patch of few out tells. [source: camera-trials]
_ROOTS = 0.85
_STRANGE = 5.0  # times the median error that makes a patch a stranger [source: workshop-choice]
_LEAST_STRANGE = 0.5  # ΔE00 that stands for a smaller median [source: workshop-choice]
_MOST_STRANGERS = 0.2  # share of the patches from which it is the model [source: workshop-choice]
_DOUBT = 0.05  # weight left to a stranger [source: workshop-choice]
# What a search tries to add to the plainest form, in turn. [source: camera-trials]
_PARTS: tuple[dict[str, Any], ...] = ({"roots": True}, {"veil": 3}, {"shade": 2}, {"curve": True})


def choose_model(patches: Patches) -> Fit:
    """Fit the forms that the number of patches allows and keep the best at leaving one out.

    Where a few patches are far worse than the rest (a stain, a finger, a reflex) the forms are
    fitted once more, with little weight on these.

    Args:
        patches: at least ``LEAST_PATCHES``.

    Source:
        [source: camera-trials]
    """
    best = _search(patches)
    error = best.loo_de00
    strange = error > _STRANGE * max(float(np.median(error)), _LEAST_STRANGE)
    if strange.any() and strange.mean() < _MOST_STRANGERS:
        doubted = replace(patches, weight=np.where(strange, _DOUBT, patches.weight))
        best, patches = _search(doubted), doubted
    return mend_nearby(best, patches)


def _search(patches: Patches) -> Fit:
    """The best form at leaving one out, sought part by part.

    Light is never quite even, nor a lens without stray light: every form has terms for both, held
    by priors. A search that may leave them out mistakes them for the camera's colour.
    """
    fits = [fit_form(Form(shade=1, veil=1, curve=False, roots=False), patches)]
    for part in _PARTS if len(patches.rgb) >= LEAST_FOR_ROOTS else ():
        best = min(fits, key=lambda fit: _score(fit, patches))
        fits.append(fit_form(replace(best.form, **part), patches))
    return min(fits, key=lambda fit: _score(fit, patches))


def _score(fit: Fit, patches: Patches) -> float:
    """Mean ΔE00 of patches left out, dearer for each further parameter; the lower the better."""
    mean = float(np.average(fit.loo_de00, weights=patches.weight))
    return mean * (1.0 + _COST * fit.form.warps) * (_ROOTS if fit.form.roots else 1.0)
