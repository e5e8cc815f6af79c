"""Choosing the camera model of one photograph by what it does to patches it has not seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_metric import lab_to_weighted, xyz_to_lab_slope
from livery.capture.colour_model import (
    Fit,
    Form,
    Patches,
    fit_form,
    parameter_slopes,
    predict_lab,
    predict_xyz,
)
from livery.colour import lab_to_xyz

Floats = NDArray[np.float64]
LEAST_PATCHES = 10  # patches without which no model is fitted [source: workshop-choice]
_COST = 0.01  # share by which each further parameter must pay for itself [source: workshop-choice]
_STRANGE = 5.0  # times the median error that makes a patch a stranger [source: workshop-choice]
_DOUBT = 0.05  # weight left to a stranger [source: workshop-choice]
# Standard deviation of a measured reference value, each of L*, a*, b*. [source: workshop-choice]
_REFERENCE_SD = 0.2
# By how much the fit's errors fall short of those on other materials, in lightness, chroma and
# hue, and the least such error (standard deviation in the weighted metric).
# [source: camera-trials]
_OPTIMISM, _MATERIAL_SD = (1.0, 1.9, 1.6), (0.3, 0.55, 0.45)
# Share of the light by which it may differ from the fitted surface. [source: workshop-choice]
_LOCAL_LIGHT = 0.004


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
        best = _search(doubted)
    return best


def _search(patches: Patches) -> Fit:
    most = len(patches.rgb) // 4
    lights = [Form(s, v, False, False) for s in (0, 1, 2) for v in (0, 1, 3)]
    best = _best([form for form in lights if form.warps <= most], patches)
    form = best.form
    further = [
        replace(form, curve=curve, roots=roots)
        for curve in (False, True)
        for roots in (False, True)
        if curve or roots
    ]
    if len(patches.rgb) >= 18:
        best = _best(further, patches, best)
    return best


def _best(forms: list[Form], patches: Patches, best: Fit | None = None) -> Fit:
    for form in forms:
        fit = fit_form(form, patches)
        if best is None or _score(fit, patches) < _score(best, patches):
            best = fit
    assert best is not None  # the even, clear form is always among the first ones
    return best


def _score(fit: Fit, patches: Patches) -> float:
    parameters = fit.form.warps + (9 if fit.form.roots else 0)
    mean = float(np.average(fit.loo_de00, weights=patches.weight))
    return mean * (1.0 + _COST * parameters)


def white_level(rgb: Floats, lab: Floats) -> float:
    """The largest channel's linear light at Y = 1, from the neutrals, or from all without them.

    Args:
        rgb: linear light of the patches, shape (n, 3).
        lab: their reference, shape (n, 3).
    """
    neutral = (np.hypot(lab[:, 1], lab[:, 2]) < 6.0) & (lab[:, 0] > 30.0)
    use = neutral if neutral.sum() >= 2 else np.ones(len(lab), dtype=np.bool_)
    luminance = lab_to_xyz(lab[use])[:, 1]
    return float(np.median(rgb[use].max(axis=1) / np.maximum(luminance, 1e-4)))


def sample_lab(
    fit: Fit, rgb: Floats, cov_rgb: Floats, place: Floats
) -> tuple[Floats, Floats, Floats]:
    """A region's colour and how sure of it one may be.

    Args:
        fit: the photograph's model.
        rgb: linear light over the white level, shape (3,).
        cov_rgb: covariance of that, shape (3, 3).
        place: position on the target as in ``Patches``, shape (2,).

    Returns:
        Lab, its whole covariance, and the part shared by all regions of the photograph.
    """
    lab = predict_lab(fit, rgb[None], place[None])[0]
    steps = np.eye(3) * 1e-4
    ahead = predict_lab(fit, rgb + steps, np.repeat(place[None], 3, axis=0))
    behind = predict_lab(fit, rgb - steps, np.repeat(place[None], 3, axis=0))
    slope = (ahead - behind).T / 2e-4
    own = slope @ (cov_rgb + np.outer(rgb, rgb) * _LOCAL_LIGHT**2) @ slope.T
    shared = _model_cov(fit, rgb, place, lab) + np.eye(3) * _REFERENCE_SD**2
    return lab, own + shared, shared


def _model_cov(fit: Fit, rgb: Floats, place: Floats, lab: Floats) -> Floats:
    """What the model may be wrong by at one colour: its parameters' spread and its misfit."""
    xyz = predict_xyz(fit, rgb[None], place[None])
    slopes = parameter_slopes(fit.form, fit.warp, fit.matrix, rgb[None], place[None])[0]
    by_parameter = xyz_to_lab_slope(xyz)[0] @ slopes
    back = np.linalg.inv(lab_to_weighted(lab[None])[0])
    onward = np.linalg.inv(back)
    spread = onward @ by_parameter @ fit.spread @ by_parameter.T @ onward.T
    widen = np.diag(_OPTIMISM)
    weighted = widen @ (fit.residual + spread) @ widen + np.diag(np.square(_MATERIAL_SD))
    cov: Floats = back @ weighted @ back.T
    return cov
