"""How wrong a camera model may be at a colour it was not shown.

Each patch is predicted by fits without it. What its reference, its pixels' noise and the fit's
own looseness account for is taken off the errors: the rest is misfit, of which patches near a
colour tell more than others. Root-polynomials bend to few patches' pigments better than to the
next material's, while the plain 3×3 bends too little; of few patches both forms' errors are
heard, and what is unseen is taken to be worse still. The more patches there are, the more the
root-polynomial's own errors count.
Greys on targets reflect evenly over the spectrum, which greys of dyed things need not, so a
target's greys say little of the rest.
A region's colour is then told with all that it is doubted for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_fit import LEAST_FOR_ROOTS, fit_form, shorten_strays
from livery.capture.colour_metric import lab_to_weighted
from livery.capture.colour_model import Fit, Patches, light_slopes, predict_lab, spread_cov
from livery.capture.neutrals import is_grey
from livery.colour import Floats

# Settled on invented reflectances of dyed things, published ones of pigments and test samples for
# lamps, and invented seasons' inks alone.
# [source: camera-trials]
_WIDEN_FEW, _WIDEN_MANY = 2.5, 0.4  # variance on other materials over that of patches left out
_PLAIN = 0.5  # share of the 3×3's errors where patches are few
_FEW = 24.0  # patches that are few
_LEAST = 0.05  # standard deviation, in the weighted metric, that no patch may deny
_LEAST_SHARE = 0.1  # of the errors that no noise may explain away
_NEAR = 20.0  # CIELAB units within which patches speak for a colour
_FROM_AFAR = 6.0  # patches that all patches together count as
_GREYS_WORD = 0.25  # weight of greys near a colour
_AXES = np.array([0.6, 1.2, 1.1])  # usual shares of lightness, chroma and hue
_USUAL = 0.5  # weight of the usual shares against the patches' own
_COMMON = 0.5  # share of a reference's variance that all its patches have alike
# Share of the light by which it may differ from the fitted surface. [source: workshop-choice]
_LOCAL_LIGHT = 0.004


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """What the patches tell of the model's error.

    Attributes:
        lab: of the patches, D50/2°, shape (n, 3).
        squares: outer products of each patch's errors when left out, in the weighted metric,
            shape (n, 3, 3).
        explained: the part of them that is no misfit, on average, shape (n, 3, 3).
        common_variance: of each of L*, a*, b*, what the reference errs by on all patches alike.
    """

    lab: Floats
    squares: Floats
    explained: Floats
    common_variance: float


def doubt_about(fit: Fit, patches: Patches) -> Doubt:
    """Gather the errors of the patches, each predicted by fits without it.

    Args:
        fit: the photograph's model.
        patches: it was fitted to.
    """
    squares, explained = _errors(fit, patches)
    if len(patches.lab) >= LEAST_FOR_ROOTS:
        other = fit_form(replace(fit.form, roots=not fit.form.roots), patches)
        share = _PLAIN * _fewness(len(patches.lab))
        share = share if fit.form.roots else 1.0 - share
        more, known = _errors(other, patches)
        squares = share * more + (1.0 - share) * squares
        explained = share * known + (1.0 - share) * explained
    return Doubt(patches.lab, squares, explained, _COMMON * patches.lab_sd**2)


def _fewness(count: int) -> float:
    """1 where so many patches are few, towards 0 for many."""
    return min(1.0, _FEW / count)


def _errors(fit: Fit, patches: Patches) -> tuple[Floats, Floats]:
    """Squares of the errors, and what of them is explained, each of shape (n, 3, 3)."""
    metric = lab_to_weighted(patches.lab)
    error = shorten_strays((metric @ (fit.loo_lab - patches.lab)[..., None])[..., 0])
    own = (1.0 - _COMMON) * patches.lab_sd**2 * np.eye(3)
    known = own + spread_cov(fit, patches.rgb, patches.place)
    if patches.noise is not None:
        slopes = light_slopes(fit, patches.rgb, patches.place)
        known = known + slopes @ patches.noise @ slopes.transpose(0, 2, 1)
    explained: Floats = metric @ known @ metric.transpose(0, 2, 1)
    squares: Floats = error[:, :, None] * error[:, None, :]
    return squares, explained


def misfit_cov(doubt: Doubt, lab: Floats) -> Floats:
    """Covariance of the model's error at colours, in the weighted metric, shape (m, 3, 3).

    Args:
        doubt: of the photograph's model.
        lab: D50/2°, shape (m, 3).

    Source:
        [source: camera-trials]
    """
    grey = is_grey(doubt.lab)
    apart = ((lab[:, None, :] - doubt.lab[None]) ** 2).sum(axis=2)
    near = np.exp(-0.5 * apart / _NEAR**2) * np.where(grey, _GREYS_WORD, 1.0)
    told = ~grey if not grey.all() else grey
    errors, known = (_about(near, part, told) for part in (doubt.squares, doubt.explained))
    whole = np.trace(errors, axis1=1, axis2=2)
    left = np.maximum(whole - np.trace(known, axis1=1, axis2=2), _LEAST_SHARE * whole)
    few = _fewness(len(doubt.lab))
    widened = left * (few * _WIDEN_FEW + (1.0 - few) * _WIDEN_MANY)
    usual = np.diag(_AXES**2) / float((_AXES**2).sum())
    own = errors / np.maximum(whole, 1e-12)[:, None, None]
    shape = (1.0 - _USUAL) * own + _USUAL * usual
    cov: Floats = widened[:, None, None] * shape + _LEAST**2 * np.diag(_AXES**2)
    return cov


def _about(near: Floats, part: Floats, told: NDArray[np.bool_]) -> Floats:
    """The mean of patches by their nearness, all together counting as some, shape (m, 3, 3)."""
    sums = np.einsum("mp,pij->mij", near, part) + _FROM_AFAR * part[told].mean(axis=0)
    mean: Floats = sums / (near.sum(axis=1) + _FROM_AFAR)[:, None, None]
    return mean


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
        Lab, D50/2°, shape (m, 3); then, each of shape (m, 3, 3), its whole covariance, the part
        shared by all regions of the photograph, and of that the part shared only by regions of one
        material.
    """
    lab = predict_lab(fit, rgb, place)
    slope = light_slopes(fit, rgb, place)
    light = _LOCAL_LIGHT**2 * rgb[:, :, None] * rgb[:, None, :]
    own = slope @ (cov_rgb + light) @ slope.transpose(0, 2, 1)
    back = np.linalg.inv(lab_to_weighted(lab))
    misfit: Floats = back @ misfit_cov(doubt, lab) @ back.transpose(0, 2, 1)
    shared = spread_cov(fit, rgb, place) + misfit + np.eye(3) * doubt.common_variance
    return lab, own + shared, shared, misfit
