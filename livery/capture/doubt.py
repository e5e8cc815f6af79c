"""How wrong a camera model may be at a colour it was not shown.

The patches' own errors tell, those near the colour more than the rest. Root-polynomials bend
to few patches' pigments better than to the next material's, so there the plain 3×3's errors are
the measure whichever form was chosen: they say how unlike the eye the camera sees under this
light. The more patches there are, the more the chosen form's own errors count.
Greys on targets reflect evenly over the spectrum, which greys of dyed things need not, so a
target's greys say little of the rest.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_metric import lab_to_weighted
from livery.capture.colour_model import Fit, Patches, fit_form

Floats = NDArray[np.float64]
# Fitted to invented reflectances of dyed things; the bench's were seen while the form was settled.
# [source: camera-trials]
_WIDEN = 1.35  # variance on other materials over that of patches left out
_LEAST = 0.1  # standard deviation, in the weighted metric, that no patch may deny
_FEW = 24.0  # patches of which the 3×3's errors are the whole measure
_NEAR = 20.0  # CIELAB units within which patches speak for a colour
_FROM_AFAR = 6.0  # patches that all patches together count as
_GREY = 6.0  # chroma below which a patch is a grey
_GREYS_WORD = 0.25  # weight of greys near a colour
_AXES = np.array([0.6, 1.2, 1.1])  # usual shares of lightness, chroma and hue
_USUAL = 0.5  # weight of the usual shares against the patches' own
_FAR = 4.0  # medians beyond which an error is one patch's own (a stain, a reflex)


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """What the patches tell of the model's error.

    Attributes:
        lab: of the patches, D50/2°, shape (n, 3).
        squares: outer products of each patch's errors when left out, in the weighted metric,
            shape (n, 3, 3).
    """

    lab: Floats
    squares: Floats


def doubt_about(fit: Fit, patches: Patches) -> Doubt:
    """Gather the errors of the patches, each predicted by fits without it: the model's, a 3×3's."""
    squares = _squares(fit, patches)
    if fit.form.roots:
        plain = _squares(fit_form(replace(fit.form, roots=False), patches), patches)
        share = min(1.0, _FEW / len(patches.lab))
        squares = share * plain + (1.0 - share) * squares
    return Doubt(patches.lab, squares)


def _squares(fit: Fit, patches: Patches) -> Floats:
    away = lab_to_weighted(patches.lab) @ (fit.loo_lab - patches.lab)[..., None]
    error = away[..., 0]
    length = np.linalg.norm(error, axis=1)
    most = _FAR * float(np.median(length))
    error = error * np.minimum(1.0, most / np.maximum(length, 1e-9))[:, None]
    squares: Floats = error[:, :, None] * error[:, None, :]
    return squares


def misfit_cov(doubt: Doubt, lab: Floats) -> Floats:
    """Covariance of the model's error at colours, in the weighted metric, shape (m, 3, 3).

    Args:
        doubt: of the photograph's model.
        lab: D50/2°, shape (m, 3).

    Source:
        [source: camera-trials]
    """
    grey = np.hypot(doubt.lab[:, 1], doubt.lab[:, 2]) < _GREY
    coloured = doubt.squares if grey.all() else doubt.squares[~grey]
    everywhere = _shared_out(coloured.mean(axis=0)[None])[0]
    apart = ((lab[:, None, :] - doubt.lab[None]) ** 2).sum(axis=2)
    near = np.exp(-0.5 * apart / _NEAR**2) * np.where(grey, _GREYS_WORD, 1.0)
    sums = np.einsum("mp,pij->mij", near, doubt.squares) + _FROM_AFAR * everywhere
    local = _shared_out(sums / (near.sum(axis=1) + _FROM_AFAR)[:, None, None])
    cov: Floats = _WIDEN * local + _LEAST**2 * np.diag(_AXES**2)
    return cov


def _shared_out(cov: Floats) -> Floats:
    """Drawn towards the usual shares of the three axes, the trace kept, shape (m, 3, 3)."""
    usual = np.diag(_AXES**2) / float((_AXES**2).sum())
    trace = np.trace(cov, axis1=1, axis2=2)[:, None, None]
    shared: Floats = (1.0 - _USUAL) * cov + _USUAL * trace * usual
    return shared
