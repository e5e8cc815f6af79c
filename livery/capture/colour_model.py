"""From a camera's linear light to colours: what a model of one photograph is, and what it says.

Light falls unevenly (a smooth surface), stray light adds a veil (veiling glare), the camera's
curve may be off its file's word (an exponent), and a matrix takes what is left to XYZ: on the
three channels, or on their roots of degree two, which keep with exposure as the channels do. What
that errs by at the patches is taken off near them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.capture.colour_metric import xyz_to_lab_slope
from livery.capture.model import INSTRUMENT_SD
from livery.colour import Floats, xyz_to_lab

_SHADE_TERMS = (0, 2, 5)  # of a shading surface by its degree, without its constant
_ROOTS = (
    (0, 1),
    (1, 2),
    (0, 2),
)  # channels whose product's root is a term [source: finlayson-2015]
_LEAST = 1e-6  # light below which a root or a power has no slope [source: workshop-choice]
_STEP = 1e-4  # of light, for slopes by differences [source: workshop-choice]
_NEAR = 15.0  # CIELAB units within which patches tell of a colour's error [source: camera-trials]
_AGAINST = 3.0  # patches that would tell of none [source: camera-trials]


@dataclass(frozen=True, slots=True)
class Form:
    """Which parts a model has.

    Attributes:
        shade: degree of the shading surface, 0 (even), 1 or 2.
        veil: 0 none, 1 white, 3 one a channel.
        curve: whether an exponent is fitted.
        roots: root-polynomial of degree two rather than 3×3.
    """

    shade: int
    veil: int
    curve: bool
    roots: bool

    @property
    def name(self) -> str:
        """In words, for reports."""
        parts = ["root-polynomial of degree 2" if self.roots else "3×3"]
        parts += [("even light", "shading plane", "shading of degree 2")[self.shade]]
        parts += ["veil"] if self.veil else []
        parts += ["exponent"] if self.curve else []
        return ", ".join(parts)

    @property
    def shades(self) -> int:
        """How many parameters shading has."""
        return _SHADE_TERMS[self.shade]

    @property
    def warps(self) -> int:
        """How many parameters act before the matrix: shading's, the veil's, the exponent."""
        return self.shades + self.veil + int(self.curve)

    @property
    def width(self) -> int:
        """How many features the matrix acts on."""
        return 3 + len(_ROOTS) if self.roots else 3


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """What the camera saw and what it looked at.

    Attributes:
        rgb: linear light over the target's white level, shape (n, 3).
        place: position on the target, -1..1 along its longer side, shape (n, 2).
        lab: reference, D50/2°, shape (n, 3).
        weight: trust in each patch, shape (n,).
        noise: covariance of ``rgb``, shape (n, 3, 3); None where it is not known.
        lab_sd: of the reference, each of L*, a*, b*.
    """

    rgb: Floats
    place: Floats
    lab: Floats
    weight: Floats
    noise: Floats | None = None
    lab_sd: float = INSTRUMENT_SD


@dataclass(frozen=True, slots=True, eq=False)
class Residuals:
    """What a fit errs by at patches left out, for colours near them.

    Attributes:
        lab: of the patches, D50/2°, shape (n, 3).
        error: predicted less reference, shape (n, 3).
        weight: trust in each, shape (n,).
    """

    lab: Floats
    error: Floats
    weight: Floats

    def near(self, lab: Floats, *, but_own: bool = False) -> Floats:
        """The error expected at colours, shape (m, 3).

        Args:
            lab: where, D50/2°, shape (m, 3).
            but_own: the colours are the patches', each of which is told by the others alone.

        Source:
            Distance-weighted means drawn towards nothing [source: common-practice].
        """
        apart = ((lab[:, None, :] - self.lab[None]) ** 2).sum(axis=2)
        weight = self.weight * np.exp(-0.5 * apart / _NEAR**2)
        if but_own:
            np.fill_diagonal(weight, 0.0)
        error: Floats = weight @ self.error / (weight.sum(axis=1) + _AGAINST)[:, None]
        return error


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A model fitted to the patches of one photograph.

    Attributes:
        form: which parts it has.
        warp: parameters before the matrix: of log shading, veil, log exponent, shape (warps,).
        matrix: from features to XYZ, shape (3, 3 or 6).
        spread: covariance of warp and matrix together, the latter row by row.
        loo_lab: each patch's Lab predicted by the fit without it, shape (n, 3).
        loo_de00: ΔE00 of that, shape (n,).
        residuals: what is taken off its predictions near patches; None for nothing.
    """

    form: Form
    warp: Floats
    matrix: Floats
    spread: Floats
    loo_lab: Floats
    loo_de00: Floats
    residuals: Residuals | None = None


def surface(place: Floats, degree: int) -> Floats:
    """Terms of a surface over the target without its constant, shape (n, 0, 2 or 5).

    Args:
        place: -1..1 along the target's longer side, shape (n, 2).
        degree: 0, 1 or 2.
    """
    x, y = place[:, 0], place[:, 1]
    terms = [x, y, x * x, x * y, y * y][: _SHADE_TERMS[degree]]
    return np.stack(terms, axis=1) if terms else np.empty((len(place), 0))


def shading_of(fit: Fit, place: Floats) -> Floats:
    """Relative light at places on the target, shape (n,)."""
    light: Floats = np.exp(surface(place, fit.form.shade) @ fit.warp[: fit.form.shades])
    return light


def veil_of(fit: Fit) -> float:
    """Stray light as a share of white, the largest channel's."""
    start = fit.form.shades
    return float(np.max(fit.warp[start : start + fit.form.veil], initial=0.0))


def even_light(form: Form, warp: Floats, rgb: Floats, place: Floats) -> Floats:
    """Light without veil, shading and exponent, shape (n, 3)."""
    light, _ = _straightened(form, warp, rgb, place)
    if form.curve:
        light = np.copysign(np.abs(light) ** np.exp(warp[-1]), light)
    return light


def _straightened(form: Form, warp: Floats, rgb: Floats, place: Floats) -> tuple[Floats, Floats]:
    """Light without veil and shading, shape (n, 3), and the light's level, shape (n, 1)."""
    count = form.shades
    light = rgb - warp[count : count + form.veil] if form.veil else rgb
    level: Floats = np.exp(surface(place, form.shade) @ warp[:count])[:, None]
    return light / level, level


def with_roots(light: Floats) -> Floats:
    """The channels and the roots of their products, shape (n, 6).

    Source:
        [source: finlayson-2015]
    """
    channels = np.maximum(light, _LEAST).T
    roots = np.stack([np.sqrt(channels[i] * channels[j]) for i, j in _ROOTS], axis=1)
    return np.concatenate([light, roots], axis=1)


def factors(gains: Floats, count: int) -> Floats:
    """What gains of the channels, shape (3,), above 0, make of the first 3 or all 6 features."""
    return with_roots(gains[None])[0, :count]


def features(form: Form, warp: Floats, rgb: Floats, place: Floats) -> Floats:
    """What the matrix acts on, shape (n, 3 or 6)."""
    light = even_light(form, warp, rgb, place)
    return with_roots(light) if form.roots else light


def predict_xyz(fit: Fit, rgb: Floats, place: Floats) -> Floats:
    """Tristimulus values, D50/2°, shape (n, 3)."""
    xyz: Floats = features(fit.form, fit.warp, rgb, place) @ fit.matrix.T
    return xyz


def predict_lab(fit: Fit, rgb: Floats, place: Floats) -> Floats:
    """CIELAB D50/2°, shape (n, 3)."""
    lab = xyz_to_lab(predict_xyz(fit, rgb, place))
    return lab if fit.residuals is None else lab - fit.residuals.near(lab)


def light_slopes(fit: Fit, rgb: Floats, place: Floats) -> Floats:
    """Derivatives of Lab by the camera's light, shape (n, 3, 3)."""
    steps = np.eye(3) * _STEP
    sides = [
        predict_lab(fit, rgb + step, place) - predict_lab(fit, rgb - step, place) for step in steps
    ]
    return np.stack(sides, axis=2) / (2.0 * _STEP)


def spread_cov(fit: Fit, rgb: Floats, place: Floats) -> Floats:
    """What the model's parameters leave open at colours, in Lab, shape (n, 3, 3)."""
    slopes = parameter_slopes(fit.form, fit.warp, fit.matrix, rgb, place)
    by_parameter = xyz_to_lab_slope(predict_xyz(fit, rgb, place)) @ slopes
    cov: Floats = by_parameter @ fit.spread @ by_parameter.transpose(0, 2, 1)
    return cov


def parameter_slopes(
    form: Form, warp: Floats, matrix: Floats, rgb: Floats, place: Floats
) -> Floats:
    """Derivatives of XYZ by warp then matrix (row by row), shape (n, 3, parameters)."""
    terms, by_warp = _warp_slopes(form, warp, rgb, place)
    count, width = terms.shape
    slopes = np.zeros((count, 3, len(warp) + 3 * width))
    slopes[:, :, : len(warp)] = matrix @ by_warp
    for row in range(3):
        start = len(warp) + row * width
        slopes[:, row, start : start + width] = terms
    return slopes


def _warp_slopes(form: Form, warp: Floats, rgb: Floats, place: Floats) -> tuple[Floats, Floats]:
    """Features, shape (n, 3 or 6), and their derivatives by the warp, shape (n, 3 or 6, warps)."""
    light, level = _straightened(form, warp, rgb, place)
    by_shade = -light[:, :, None] * surface(place, form.shade)[:, None]
    axes = np.ones((3, 1)) if form.veil == 1 else np.eye(3)[:, : form.veil]
    slopes = np.concatenate([by_shade, -axes / level[:, :, None]], axis=2)
    if form.curve:
        power, size = float(np.exp(warp[-1])), np.maximum(np.abs(light), _LEAST)
        light = np.copysign(np.abs(light) ** power, light)
        slopes *= (power * size ** (power - 1.0))[:, :, None]
        by_curve = power * light * np.log(size)
        slopes = np.concatenate([slopes, by_curve[:, :, None]], axis=2)
    if not form.roots:
        return light, slopes
    terms = with_roots(light)
    kept = np.maximum(light, _LEAST)
    slopes_kept = np.where(light[..., None] > _LEAST, slopes, 0.0)
    by_root = [
        (slopes_kept[:, i] * kept[:, j, None] + slopes_kept[:, j] * kept[:, i, None])
        / (2.0 * terms[:, 3 + n, None])
        for n, (i, j) in enumerate(_ROOTS)
    ]
    return terms, np.concatenate([slopes, np.stack(by_root, axis=1)], axis=1)
