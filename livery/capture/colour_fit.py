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
    Patches,
    Residuals,
    factors,
    features,
    parameter_slopes,
)
from livery.capture.neutrals import balance
from livery.colour import Floats, ciede2000, lab_to_xyz, read_table, xyz_to_lab

# Standard deviations of the priors on log shading, veil (share of white) and log exponent.
# [source: workshop-choice]
_SHADE_PRIOR, _VEIL_PRIOR, _CURVE_PRIOR = 0.3, 0.03, 0.15
_FREE = 1e-6  # precision of a matrix's prior, which leaves it free [source: workshop-choice]
_NOISE_FLOOR = 0.3  # ΔE00 that no patch is held to be known within [source: workshop-choice]
# Degrees of freedom (Student's) of how real cameras lie about the likely ones: a camera unlike them
# all is let go. [source: camera-trials]
_TAIL = 2.0
LEAST_FOR_ROOTS = 18  # patches without which no root-polynomial is tried [source: workshop-choice]
# Rounds of Gauss and Newton, the largest step of shading, veil and exponent, and the step that ends
# them. [source: workshop-choice]
_ROUNDS, _MOST_WARP, _STILL = 8, 0.2, 1e-5
_MOST_HAT = 0.999  # of a patch's own word in its prediction, left out [source: workshop-choice]
_LOO_XYZ = (-0.5, 3.0)  # between which what is predicted of it is kept [source: workshop-choice]
# Medians beyond which an error is one patch's own: a stain, a reflex. [source: workshop-choice]
_FAR = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class _Prior:
    """What parameters are held to be before any patch is seen.

    Attributes:
        mean: shape (parameters,).
        precision: shape (parameters, parameters).
        roots: where a root-polynomial's coefficients are among them.
    """

    mean: Floats
    precision: Floats
    roots: slice

    def precision_at(self, at: Floats) -> Floats:
        """The precision at parameters, less where their root-polynomial is none of the likely."""
        away = (at - self.mean)[self.roots]
        count = len(away)
        square = float(away @ self.precision[self.roots, self.roots] @ away)
        precision = self.precision.copy()
        precision[self.roots, self.roots] *= min(1.0, (_TAIL + count) / (_TAIL + square))
        return precision


def _prior(form: Form, patches: Patches) -> _Prior:
    shade = [1.0 / _SHADE_PRIOR**2] * form.shades
    veil = [1.0 / _VEIL_PRIOR**2] * form.veil
    curve = [1.0 / _CURVE_PRIOR**2] * int(form.curve)
    mean = np.zeros(form.warps + 3 * form.width)
    precision = np.diag([*shade, *veil, *curve, *[_FREE] * (3 * form.width)])
    roots = slice(form.warps if form.roots else len(mean), len(mean))
    if form.roots:
        likely, likely_precision = _likely()
        gains = np.tile(factors(balance(patches.rgb, patches.lab), form.width), 3)
        mean[roots] = likely / gains
        precision[roots, roots] = likely_precision * np.outer(gains, gains)
    return _Prior(mean, precision, roots)


@cache
def _likely() -> tuple[Floats, Floats]:
    """Mean and precision of the root-polynomials of many cameras, for light balanced on white.

    Source:
        [source: likely-cameras]
    """
    _, table = read_table("cameras", "likely")
    return table[:, 0], np.asarray(np.linalg.inv(table[:, 1:]), np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Linearisation:
    """What a fit does at its patches for small steps of its parameters, in the weighted metric.

    Attributes:
        slopes: of its predictions by its parameters, shape (n, 3, parameters).
        error: predicted less reference, shape (n, 3).
        inverse: of the normal matrix, prior included, shape (parameters, parameters).
    """

    slopes: Floats
    error: Floats
    inverse: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    """A form to be fitted to patches.

    Attributes:
        prior: of its parameters: warp, then matrix row by row.
        xyz: the patches' reference, D50/2°, Y = 1 for white, shape (n, 3).
        scale: from an error in XYZ to one in the weighted metric, shape (n, 3, 3).
    """

    form: Form
    patches: Patches
    prior: _Prior
    xyz: Floats
    scale: Floats

    def parts(self, at: Floats) -> tuple[Floats, Floats]:
        """Warp and matrix."""
        return at[: self.form.warps], at[self.form.warps :].reshape(3, -1)

    def linear(self, at: Floats) -> tuple[Floats, Floats]:
        """Slopes, shape (n, 3, parameters), and errors, shape (n, 3), in the weighted metric."""
        rgb, place = self.patches.rgb, self.patches.place
        warp, matrix = self.parts(at)
        slopes = self.scale @ parameter_slopes(self.form, warp, matrix, rgb, place)
        found = features(self.form, warp, rgb, place) @ matrix.T
        return slopes, np.einsum("nij,nj->ni", self.scale, found - self.xyz)

    def normal(self, at: Floats, slopes: Floats) -> tuple[Floats, Floats]:
        """The normal matrix, and the part of it that the prior has."""
        rows = slopes.reshape(-1, slopes.shape[2])
        pull = self.prior.precision_at(at) * (_NOISE_FLOOR**2 + self.patches.lab_sd**2)
        return rows.T @ rows + pull, pull

    def linearised(self, at: Floats) -> Linearisation:
        """At parameters, with the inverse of the normal matrix."""
        slopes, error = self.linear(at)
        normal, _ = self.normal(at, slopes)
        inverse = np.asarray(np.linalg.pinv(normal, hermitian=True), np.float64)
        return Linearisation(slopes, error, inverse)


def _problem(form: Form, patches: Patches) -> _Problem:
    xyz = lab_to_xyz(patches.lab)
    metric = lab_to_weighted(patches.lab) @ xyz_to_lab_slope(xyz)
    scale = metric * np.sqrt(patches.weight)[:, None, None]
    return _Problem(form, patches, _prior(form, patches), xyz, scale)


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
    problem = _problem(form, patches)
    mean = problem.prior.mean
    at = mean
    for _ in range(_ROUNDS if form.warps or form.roots else 1):  # a matrix alone is found at once
        slopes, error = problem.linear(at)
        normal, pull = problem.normal(at, slopes)
        gradient = np.einsum("nip,ni->p", slopes, error) + pull @ (at - mean)
        step = -np.linalg.solve(normal, gradient)
        step[: form.warps] = np.clip(step[: form.warps], -_MOST_WARP, _MOST_WARP)
        at = at + step
        if np.abs(step).max() < _STILL:
            break
    return _finish(problem, at)


def _finish(problem: _Problem, at: Floats) -> Fit:
    """Leave-one-out errors and covariances from the last step's normal matrix."""
    last, lab = problem.linearised(at), problem.patches.lab
    hat = last.slopes @ last.inverse @ last.slopes.transpose(0, 2, 1)
    left_out = np.linalg.solve(np.eye(3) - _MOST_HAT * hat, last.error[..., None])[..., 0]
    used = float(np.trace(hat, axis1=1, axis2=2).sum()) / 3.0
    freedom = max(1.0, len(last.error) - used)
    variance = float((last.error**2).sum()) / freedom / 3.0
    loo_xyz = problem.xyz + np.linalg.solve(problem.scale, left_out[..., None])[..., 0]
    loo_lab = xyz_to_lab(np.clip(loo_xyz, *_LOO_XYZ))
    spread: Floats = last.inverse * variance
    return Fit(problem.form, *problem.parts(at), spread, loo_lab, ciede2000(lab, loo_lab))


def linearise(fit: Fit, patches: Patches) -> Linearisation:
    """A fit at patches, all of them trusted as far as they say."""
    at = np.concatenate([fit.warp, fit.matrix.ravel()])
    return _problem(fit.form, patches).linearised(at)


def mend_nearby(fit: Fit, patches: Patches) -> Fit:
    """The fit, its predictions mended by what it errs by at the patches nearest in colour.

    A model of so few terms bends too little; where patches lie close to one another, what it
    leaves over is alike for like colours. Whether it is, leaving patches out tells: where mending
    does not make these better the fit stays as it is.
    """
    residuals = Residuals(patches.lab, shorten_strays(fit.loo_lab - patches.lab), patches.weight)
    loo_lab = fit.loo_lab - residuals.near(fit.loo_lab, but_own=True)
    loo_de00 = ciede2000(patches.lab, loo_lab)
    if float(patches.weight @ (loo_de00 - fit.loo_de00)) >= 0.0:
        return fit
    return replace(fit, loo_lab=loo_lab, loo_de00=loo_de00, residuals=residuals)


def shorten_strays(error: Floats) -> Floats:
    """Errors, shape (n, 3), none longer than so many medians of their length."""
    length = np.linalg.norm(error, axis=1, keepdims=True)
    shorter: Floats = error * np.minimum(1.0, _FAR * np.median(length) / np.maximum(length, 1e-9))
    return shorter
