"""Fitting a camera model to the patches of one photograph.

All of a form's parameters are fitted together by Gauss and Newton's method, on errors weighed as
the eye weighs them, with mild priors.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_metric import lab_to_weighted, xyz_to_lab_slope
from livery.capture.colour_model import Fit, Form, Left, Patches, features, parameter_slopes
from livery.colour import ciede2000, lab_to_xyz, xyz_to_lab

Floats = NDArray[np.float64]
# Standard deviations of the priors on log shading, veil (share of white) and log exponent, and
# on root terms against the linear ones. [source: workshop-choice]
_SHADE_PRIOR, _VEIL_PRIOR, _CURVE_PRIOR, _ROOT_PRIOR = 0.3, 0.03, 0.15, 1.0
_NOISE_FLOOR = 0.3  # ΔE00 below which no residual is taken to be known [source: workshop-choice]
_ROUNDS = 8  # of Gauss and Newton, at most
_STILL = 1e-5  # the largest step that ends them
# Medians beyond which an error is one patch's own: a stain, a reflex. [source: workshop-choice]
_FAR = 4.0


def _priors(form: Form) -> Floats:
    """Precision of each parameter's prior, shape (parameters,)."""
    shade = [1.0 / _SHADE_PRIOR**2] * (0, 2, 5)[form.shade]
    veil = [1.0 / _VEIL_PRIOR**2] * form.veil
    curve = [1.0 / _CURVE_PRIOR**2] * int(form.curve)
    row = [1e-6] * 3 + [1.0 / _ROOT_PRIOR**2] * (3 if form.roots else 0)
    return np.array(shade + veil + curve + row * 3)


def fit_form(form: Form, patches: Patches) -> Fit:
    """Fit one form.

    Args:
        form: which parts the model has.
        patches: at least as many as make the matrix determinate.

    Returns:
        The fit, with every patch's error when it is left out.

    Source:
        Root-polynomials [source: finlayson-2015]; leave-one-out from the hat matrix of the last
        Gauss-Newton step [source: common-practice].
    """
    xyz = lab_to_xyz(patches.lab)
    metric = lab_to_weighted(patches.lab) @ xyz_to_lab_slope(xyz)
    scale = metric * np.sqrt(patches.weight)[:, None, None]
    warp = np.zeros(form.warps)
    matrix = _linear_fit(form, warp, patches, xyz, scale)
    prior = _priors(form)
    for _ in range(_ROUNDS if form.warps else 1):
        slopes = scale @ parameter_slopes(form, warp, matrix, patches.rgb, patches.place)
        error = _weighted_error(form, warp, matrix, patches, xyz, scale)
        noise = max(float(np.mean(error**2)), _NOISE_FLOOR**2)
        rows = slopes.reshape(-1, slopes.shape[2])
        normal = rows.T @ rows + np.diag(prior) * noise
        held = np.concatenate([warp, np.zeros(matrix.size)])
        if form.roots:
            kept = np.zeros_like(matrix)
            kept[:, 3:] = matrix[:, 3:]
            held[len(warp) :] = kept.ravel()
        step = np.linalg.solve(normal, rows.T @ -error.ravel() - prior * noise * held)
        warp = warp + np.clip(step[: len(warp)], -0.2, 0.2)
        matrix = matrix + step[len(warp) :].reshape(matrix.shape)
        if np.abs(step).max() < _STILL:
            break
    return _finish(form, warp, matrix, patches, xyz, scale, prior)


def _linear_fit(form: Form, warp: Floats, patches: Patches, xyz: Floats, scale: Floats) -> Floats:
    terms = features(form, warp, patches.rgb, patches.place)
    width = terms.shape[1]
    rows = np.einsum("nij,nk->nijk", scale, terms).reshape(-1, 3 * width)
    wanted = np.einsum("nij,nj->ni", scale, xyz).ravel()
    ridge = np.sqrt(_priors(form)[len(warp) :])
    rows = np.concatenate([rows, np.diag(ridge)])
    wanted = np.concatenate([wanted, np.zeros(3 * width)])
    matrix: Floats = np.linalg.lstsq(rows, wanted, rcond=None)[0].reshape(3, width)
    return matrix


def _weighted_error(
    form: Form, warp: Floats, matrix: Floats, patches: Patches, xyz: Floats, scale: Floats
) -> Floats:
    found = features(form, warp, patches.rgb, patches.place) @ matrix.T
    error: Floats = np.einsum("nij,nj->ni", scale, found - xyz)
    return error


def _finish(
    form: Form,
    warp: Floats,
    matrix: Floats,
    patches: Patches,
    xyz: Floats,
    scale: Floats,
    prior: Floats,
) -> Fit:
    """Leave-one-out errors and covariances from the last step's normal matrix."""
    slopes = scale @ parameter_slopes(form, warp, matrix, patches.rgb, patches.place)
    error = _weighted_error(form, warp, matrix, patches, xyz, scale)
    noise = max(float(np.mean(error**2)), _NOISE_FLOOR**2)
    rows = slopes.reshape(-1, slopes.shape[2])
    inverse = np.linalg.pinv(rows.T @ rows + np.diag(prior) * noise, hermitian=True)
    hat = slopes @ inverse @ slopes.transpose(0, 2, 1)
    left_out = np.linalg.solve(np.eye(3) - 0.999 * hat, error[..., None])[..., 0]
    used = float(np.trace(hat, axis1=1, axis2=2).sum()) / 3.0
    freedom = max(1.0, len(error) - used)
    variance = float((error**2).sum()) / freedom / 3.0
    loo_xyz = xyz + np.linalg.solve(scale, left_out[..., None])[..., 0]
    loo_lab = xyz_to_lab(np.clip(loo_xyz, -0.5, 3.0))
    spread: Floats = np.asarray(inverse, np.float64) * variance
    return Fit(form, warp, matrix, spread, loo_lab, ciede2000(patches.lab, loo_lab))


def mend_nearby(fit: Fit, patches: Patches) -> Fit:
    """The fit, its predictions mended by what it errs by at the patches nearest in colour.

    A model of so few terms bends too little; where patches lie close to one another, what it
    leaves over is alike for like colours. Whether it is, leaving patches out tells: where mending
    does not make these better the fit stays as it is.
    """
    error = fit.loo_lab - patches.lab
    length = np.linalg.norm(error, axis=1, keepdims=True)
    error = error * np.minimum(1.0, _FAR * np.median(length) / np.maximum(length, 1e-9))
    left = Left(patches.lab, error, patches.weight)
    loo_lab = fit.loo_lab - left.near(fit.loo_lab, but_own=True)
    loo_de00 = ciede2000(patches.lab, loo_lab)
    if float(patches.weight @ (loo_de00 - fit.loo_de00)) >= 0.0:
        return fit
    return replace(fit, loo_lab=loo_lab, loo_de00=loo_de00, left=left)
