"""Fitting a camera model to the patches of one photograph.

All of a form's parameters are fitted together by Gauss and Newton's method, on errors weighed as
the eye weighs them, with mild priors on light and curve. A root-polynomial bends to few patches'
pigments better than to the next material's, so it is drawn to what cameras are likely to have.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from livery.capture.colour_metric import lab_to_weighted, xyz_to_lab_slope
from livery.capture.colour_model import (
    Fit,
    Form,
    Left,
    Patches,
    factors,
    features,
    parameter_slopes,
)
from livery.capture.neutrals import balance
from livery.colour import Floats, ciede2000, lab_to_xyz, read_table, xyz_to_lab

# Standard deviations of the priors on log shading, veil (share of white) and log exponent.
# [source: workshop-choice]
_SHADE_PRIOR, _VEIL_PRIOR, _CURVE_PRIOR = 0.3, 0.03, 0.15
_NOISE_FLOOR = 0.3  # ΔE00 that no patch is held to be known within [source: workshop-choice]
# Degrees of freedom (Student's) of how real cameras lie about the likely ones: a camera unlike them
# all is let go. [source: camera-trials]
_TAIL = 2.0
_ROUNDS = 8  # of Gauss and Newton, at most
_STILL = 1e-5  # the largest step that ends them
# Medians beyond which an error is one patch's own: a stain, a reflex. [source: workshop-choice]
_FAR = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class _Held:
    """What parameters are held to be before any patch is seen.

    Attributes:
        mean: shape (parameters,).
        precision: shape (parameters, parameters).
        roots: where a root-polynomial's coefficients are among them.
    """

    mean: Floats
    precision: Floats
    roots: slice

    def pull(self, at: Floats) -> Floats:
        """The precision at parameters, less where their root-polynomial is none of the likely."""
        away = (at - self.mean)[self.roots]
        count = len(away)
        square = float(away @ self.precision[self.roots, self.roots] @ away)
        pull = self.precision.copy()
        pull[self.roots, self.roots] *= min(1.0, (_TAIL + count) / (_TAIL + square))
        return pull


def _held(form: Form, patches: Patches) -> _Held:
    shade = [1.0 / _SHADE_PRIOR**2] * (0, 2, 5)[form.shade]
    veil = [1.0 / _VEIL_PRIOR**2] * form.veil
    curve = [1.0 / _CURVE_PRIOR**2] * int(form.curve)
    warps = [*shade, *veil, *curve]
    mean = np.zeros(len(warps) + (18 if form.roots else 9))
    precision = np.diag([*warps, *[1e-6] * (len(mean) - len(warps))])
    roots = slice(len(warps) if form.roots else len(mean), len(mean))
    if form.roots:
        likely, likely_precision = _likely()
        gains = np.tile(factors(balance(patches.rgb, patches.lab), 6), 3)
        mean[roots] = likely / gains
        precision[roots, roots] = likely_precision * np.outer(gains, gains)
    return _Held(mean, precision, roots)


@cache
def _likely() -> tuple[Floats, Floats]:
    """Mean and precision of the root-polynomials of many cameras, for light balanced on white.

    Source:
        [source: likely-cameras]
    """
    _, table = read_table("cameras", "likely")
    return table[:, 0], np.asarray(np.linalg.inv(table[:, 1:]), np.float64)


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
    held = _held(form, patches)
    at = held.mean
    for _ in range(_ROUNDS if form.warps or form.roots else 1):  # a matrix alone is found at once
        slopes, error = _linear(form, at, patches, xyz, scale)
        normal, pull = _normal(held, at, slopes, patches)
        gradient = np.einsum("nip,ni->p", slopes, error) + pull @ (at - held.mean)
        step = -np.linalg.solve(normal, gradient)
        step[: form.warps] = np.clip(step[: form.warps], -0.2, 0.2)
        at = at + step
        if np.abs(step).max() < _STILL:
            break
    return _finish(form, at, held, patches, xyz, scale)


def _linear(
    form: Form, at: Floats, patches: Patches, xyz: Floats, scale: Floats
) -> tuple[Floats, Floats]:
    """Slopes, shape (n, 3, parameters), and errors, shape (n, 3), in the weighted metric."""
    warp, matrix = at[: form.warps], at[form.warps :].reshape(3, -1)
    slopes = scale @ parameter_slopes(form, warp, matrix, patches.rgb, patches.place)
    found = features(form, warp, patches.rgb, patches.place) @ matrix.T
    return slopes, np.einsum("nij,nj->ni", scale, found - xyz)


def _normal(held: _Held, at: Floats, slopes: Floats, patches: Patches) -> tuple[Floats, Floats]:
    """The normal matrix, and the part of it that the priors have."""
    rows = slopes.reshape(-1, slopes.shape[2])
    pull = held.pull(at) * (_NOISE_FLOOR**2 + patches.lab_sd**2)
    return rows.T @ rows + pull, pull


def _inverse(held: _Held, at: Floats, slopes: Floats, patches: Patches) -> Floats:
    normal, _ = _normal(held, at, slopes, patches)
    return np.asarray(np.linalg.pinv(normal, hermitian=True), np.float64)


def _finish(
    form: Form, at: Floats, held: _Held, patches: Patches, xyz: Floats, scale: Floats
) -> Fit:
    """Leave-one-out errors and covariances from the last step's normal matrix."""
    slopes, error = _linear(form, at, patches, xyz, scale)
    inverse = _inverse(held, at, slopes, patches)
    hat = slopes @ inverse @ slopes.transpose(0, 2, 1)
    left_out = np.linalg.solve(np.eye(3) - 0.999 * hat, error[..., None])[..., 0]
    used = float(np.trace(hat, axis1=1, axis2=2).sum()) / 3.0
    freedom = max(1.0, len(error) - used)
    variance = float((error**2).sum()) / freedom / 3.0
    loo_xyz = xyz + np.linalg.solve(scale, left_out[..., None])[..., 0]
    loo_lab = xyz_to_lab(np.clip(loo_xyz, -0.5, 3.0))
    spread: Floats = inverse * variance
    warp, matrix = at[: form.warps], at[form.warps :].reshape(3, -1)
    return Fit(form, warp, matrix, spread, loo_lab, ciede2000(patches.lab, loo_lab))


@dataclass(frozen=True, slots=True, eq=False)
class Residue:
    """What a fit leaves over at its patches, in the weighted metric.

    Attributes:
        slopes: of its predictions by its parameters, shape (n, 3, parameters).
        error: predicted less reference, shape (n, 3).
        inverse: of the normal matrix, priors included, shape (parameters, parameters).
    """

    slopes: Floats
    error: Floats
    inverse: Floats


def residue(fit: Fit, patches: Patches) -> Residue:
    """What a fit leaves over at patches, all of them trusted as far as they say."""
    xyz = lab_to_xyz(patches.lab)
    metric = lab_to_weighted(patches.lab) @ xyz_to_lab_slope(xyz)
    scale = metric * np.sqrt(patches.weight)[:, None, None]
    held = _held(fit.form, patches)
    at = np.concatenate([fit.warp, fit.matrix.ravel()])
    slopes, error = _linear(fit.form, at, patches, xyz, scale)
    return Residue(slopes, error, _inverse(held, at, slopes, patches))


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
