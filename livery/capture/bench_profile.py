"""One camera's colour learnt from many photographs of one bench, where it beats one photograph.

Stored photographs by one camera in one light share a matrix; each has its own exposure, white
balance, shading, veil and exponent. Matrix and these are settled in turns. Every patch is then
predicted by a matrix learnt from other photographs without that patch in any of them, so that the
error may be held against the single photograph's own at leaving one out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_fit import fit_form, mend_nearby
from livery.capture.colour_metric import lab_to_weighted
from livery.capture.colour_model import Fit, Form, Patches, even_light, factors, with_roots
from livery.capture.model import BenchTrial
from livery.colour import Floats, ciede2000, xyz_to_lab

# Every figure: [source: workshop-choice]
_FOLDS = 10  # parts of the patches left out in turn
_LEAST_SHOTS = 3  # photographs that make a bench
_MOST_SHOTS = 30  # photographs learnt from, the last by name
_LEAST_PATCHES = 18  # of a photograph that is learnt from
_GAIN = 0.97  # share of the own model's error to stay below
_TURNS, _ROUNDS = 3, 4  # of settling, and of Gauss and Newton's steps in each
_LONGEST_STEP = 0.3  # of a parameter, in one of those
_DIFFERENCE = 1e-5  # of a parameter, for slopes by differences
_LIGHT = Form(shade=2, veil=1, curve=True, roots=False)  # all that is a photograph's own
# A photograph's own parameters in one vector: three log gains, then the warp of that form:
# shading, veil and log exponent.
_GAINS, _WARP, _SHADE, _VEIL, _CURVE = slice(3), slice(3, 10), slice(3, 8), 8, 9
_LIKELY = np.array([1.0] * 3 + [0.3] * 5 + [0.03, 0.15])  # standard deviations of those
_ERROR = 1.0  # of a patch, in the weighted metric, beside those


@dataclass(frozen=True, slots=True, eq=False)
class BenchShot:
    """What one stored photograph showed of its target.

    Attributes:
        source: SHA-256 of the photograph.
        names: of the patches used.
        rgb: linear light over the target's white level, shape (n, 3).
        place: position on the target, -1..1 along its longer side, shape (n, 2).
        lab: reference, D50/2°, shape (n, 3).
    """

    source: str
    names: tuple[str, ...]
    rgb: Floats
    place: Floats
    lab: Floats

    @property
    def patches(self) -> Patches:
        """As a model is fitted to."""
        return Patches(self.rgb, self.place, self.lab, np.ones(len(self.rgb)))


@dataclass(frozen=True, slots=True, eq=False)
class _Bench:
    """What all photographs agree on.

    Attributes:
        pool: patches of all, in even light, each with the fold that leaves it out (-1: none).
        learnt: the matrix, fitted to all.
        shots: how many photographs.
        free: the parameters that the photograph at hand may settle for itself.
    """

    pool: Patches
    fold: NDArray[np.int_]
    learnt: Fit
    shots: int
    free: NDArray[np.bool_]


def try_bench(
    fit: Fit, patches: Patches, names: Sequence[str], source: str, shots: Sequence[BenchShot]
) -> tuple[Fit, BenchTrial]:
    """Choose between the photograph's own model and one learnt from the bench.

    Args:
        fit: the photograph's own.
        patches: it was fitted to.
        names: of those patches.
        source: SHA-256 of the photograph, which is no evidence about itself.
        shots: stored photographs of the bench, by name.

    Returns:
        The model that predicts unseen patches better, and both errors.
    """
    single = _mean_error(fit.loo_de00, patches)
    others = [s for s in shots if s.source != source and len(s.names) >= _LEAST_PATCHES]
    others = others[-_MOST_SHOTS:]
    if len(others) < _LEAST_SHOTS or len(names) < _LEAST_PATCHES:
        return fit, BenchTrial(len(others), None, single, False)
    trials = []
    for roots in (False, True):
        bench = _learn(roots, fit.form, names, others)
        adopted = mend_nearby(_adopted(patches, bench, _crossed(names, patches, bench)), patches)
        trials.append((_mean_error(adopted.loo_de00, patches), adopted))
    error, adopted = min(trials, key=lambda trial: trial[0])
    trial = BenchTrial(len(others), error, single, error < _GAIN * single)
    return (adopted if trial.used else fit), trial


def _mean_error(de00: Floats, patches: Patches) -> float:
    """Mean ΔE00 of patches, each by its weight."""
    return float(np.average(de00, weights=patches.weight))


def _learn(roots: bool, form: Form, names: Sequence[str], shots: Sequence[BenchShot]) -> _Bench:
    """Settle the matrix and each photograph's own light in turns.

    Whether there is an exponent is the camera's, so the form decides for all.
    """
    free = _freedom(replace(form, shade=2, veil=1))
    lights = [shot.rgb for shot in shots]
    lab = np.concatenate([shot.lab for shot in shots])
    for turn in range(_TURNS + 1):
        rgb = np.concatenate(lights)
        pool = Patches(rgb, np.zeros((len(rgb), 2)), lab, np.ones(len(rgb)))
        learnt = fit_form(Form(shade=0, veil=0, curve=False, roots=roots), pool)
        if turn < _TURNS:
            lights = [_evened(_settle(learnt.matrix, s.patches, free)[0], s.patches) for s in shots]
    fold_of = _folds(names)
    fold = np.array([fold_of.get(name, -1) for shot in shots for name in shot.names])
    return _Bench(pool, fold, learnt, len(shots), _freedom(form))


def _folds(names: Sequence[str]) -> dict[str, int]:
    """Which part each patch is left out with."""
    return {name: index % _FOLDS for index, name in enumerate(names)}


def _crossed(names: Sequence[str], patches: Patches, bench: _Bench) -> Floats:
    """Each patch's Lab by a matrix and light that were settled without it, shape (n, 3)."""
    folds = _folds(names)
    fold = np.array([folds[name] for name in names])
    lab = np.empty_like(patches.lab)
    for part in range(_FOLDS):
        out = fold == part
        matrix = fit_form(bench.learnt.form, _some(bench.pool, bench.fold != part)).matrix
        own, _ = _settle(matrix, _some(patches, ~out), bench.free)
        lab[out] = _lab(matrix, _evened(own, _some(patches, out)))
    return lab


def _some(patches: Patches, kept: NDArray[np.bool_]) -> Patches:
    return Patches(patches.rgb[kept], patches.place[kept], patches.lab[kept], patches.weight[kept])


def _lab(matrix: Floats, light: Floats) -> Floats:
    """CIELAB D50/2° of even light, shape (n, 3)."""
    return xyz_to_lab((with_roots(light) if matrix.shape[1] == 6 else light) @ matrix.T)


def _evened(own: Floats, patches: Patches) -> Floats:
    """Light without what is the photograph's own, shape (n, 3)."""
    return even_light(_LIGHT, own[_WARP], patches.rgb * np.exp(own[_GAINS]), patches.place)


def _freedom(form: Form) -> NDArray[np.bool_]:
    """Which of a photograph's own parameters a form lets move: gains always."""
    shade = np.arange(_LIGHT.shades) < form.shades
    return np.concatenate([[True] * 3, shade, [form.veil > 0, form.curve]])


def _settle(matrix: Floats, patches: Patches, free: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """A photograph's own parameters under a matrix, and their covariance.

    Those that are not free stay 0, and so does their covariance.
    """
    scale = lab_to_weighted(patches.lab) * np.sqrt(patches.weight)[:, None, None] / _ERROR

    def error(own: Floats) -> Floats:
        away = _lab(matrix, _evened(own, patches)) - patches.lab
        return np.concatenate([(scale @ away[..., None]).ravel(), own / _LIKELY])

    own = np.zeros(len(_LIKELY))
    for _ in range(_ROUNDS):
        at, slopes = error(own), _slopes(error, own)[:, free]
        step = np.linalg.lstsq(slopes, at, rcond=None)[0]
        own[free] -= np.clip(step, -_LONGEST_STEP, _LONGEST_STEP)
    cov = np.zeros((len(own), len(own)))
    cov[np.ix_(free, free)] = np.linalg.inv(slopes.T @ slopes)
    return own, cov


def _slopes(function: Callable[[Floats], Floats], at: Floats) -> Floats:
    """Derivatives, shape (values, parameters)."""
    steps = np.eye(len(at)) * _DIFFERENCE
    sides = [function(at + step) - function(at - step) for step in steps]
    return np.stack(sides, axis=1) / (2.0 * _DIFFERENCE)


def _adopted(patches: Patches, bench: _Bench, crossed: Floats) -> Fit:
    """The bench's matrix under the photograph's own light, as one model.

    What the camera misreads it misreads alike in every photograph, so the matrix is held to be
    known no better than from one.
    """
    learnt = bench.learnt
    own, cov = _settle(learnt.matrix, patches, bench.free)
    slopes = _slopes(lambda values: _expressed(values, learnt.matrix), own)
    spread = slopes @ cov @ slopes.T
    rows = np.tile(_factors(own, learnt.matrix), 3)
    warps = len(spread) - len(rows)
    spread[warps:, warps:] += learnt.spread * bench.shots * np.outer(rows, rows)
    values = _expressed(own, learnt.matrix)
    return Fit(
        replace(_LIGHT, veil=3, roots=learnt.form.roots),
        values[:warps],
        values[warps:].reshape(learnt.matrix.shape),
        spread,
        crossed,
        ciede2000(patches.lab, crossed),
    )


def _expressed(own: Floats, matrix: Floats) -> Floats:
    """Warp and matrix of the same model with the gains taken into veil and matrix."""
    veil = own[_VEIL] * np.exp(-own[_GAINS])
    warp = np.concatenate([own[_SHADE], veil, own[_CURVE:]])
    return np.concatenate([warp, (matrix * _factors(own, matrix)).ravel()])


def _factors(own: Floats, matrix: Floats) -> Floats:
    """Of the matrix's columns, for gains that act before the exponent."""
    return factors(np.exp(own[_GAINS] * np.exp(own[_CURVE])), matrix.shape[1])
