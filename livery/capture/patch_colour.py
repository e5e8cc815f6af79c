"""The camera's colour in one photograph: from its patches' pixels to a model, and its gates."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from livery.capture import gates as judge
from livery.capture.bench_profile import try_bench
from livery.capture.characterise import LEAST_PATCHES, choose_model
from livery.capture.colour_model import Fit, Patches, predict_lab, shading_of, veil_of
from livery.capture.doubt import doubt_about
from livery.capture.model import Gate
from livery.capture.neutrals import balance, is_neutral
from livery.capture.patch_pixels import PatchPixels
from livery.capture.scene import Model, Scene

Floats = NDArray[np.float64]
_LEAST_GREYS = 10  # that tell lights apart [source: workshop-choice]


def model_colour(
    scene: Scene, seen: PatchPixels, clipped: NDArray[np.bool_]
) -> tuple[Model | None, list[Gate]]:
    """The camera's model from the patches that are evidence, and the gates on light and colour.

    Args:
        scene: the photograph and the target.
        seen: the target's patches, in its order.
        clipped: which of them are over- or underexposed, shape (n,).

    Returns:
        None for the model where too few patches are evidence.
    """
    patches = scene.target.patches
    spotted = seen.readable & (seen.bright_outliers > judge.SPOTTED_PATCH)
    used = np.flatnonzero(seen.readable & ~clipped)
    gates = [
        judge.clipping_gate([patches[i].name for i in np.flatnonzero(clipped)], len(patches)),
        judge.spots_gate([patches[i].name for i in np.flatnonzero(spotted)], len(patches)),
        judge.fewest_gate(len(used), LEAST_PATCHES),
    ]
    if len(used) < LEAST_PATCHES:
        return None, gates
    place = scene.place(np.array([patch.middle_mm for patch in patches]))
    rgb = seen.rgb[used]
    lab = np.array([patches[i].lab for i in used], dtype=np.float64)
    white = float(balance(rgb, lab).max())
    noise = seen.cov[used] / white**2
    lab_sd = math.sqrt(float(np.mean([patches[i].lab_sd ** 2 for i in used])))
    shown = Patches(rgb / white, place[used], lab, np.ones(len(used)), noise, lab_sd)
    fit = choose_model(shown)
    trial = None
    if scene.bench:
        names = [patches[i].name for i in used]
        fit, trial = try_bench(fit, shown, names, scene.photo.sha256, scene.bench)
    light = shading_of(fit, place)
    gates += [
        judge.exposure_gate(white),
        judge.cast_gate(_cast(rgb, lab)),
        *_light_gates(fit, shown),
        judge.veil_gate(veil_of(fit)),
        judge.shading_gate(float(light.max() / light.min() - 1.0)),
        judge.characterisation_gate(float(np.mean(fit.loo_de00))),
    ]
    doubt = doubt_about(fit, shown)
    return Model(fit, doubt, white, tuple(used.tolist()), shown, trial), gates


def _cast(rgb: Floats, lab: Floats) -> float:
    """Strongest over weakest channel of the neutrals; 1 when there is none to tell by."""
    neutral = is_neutral(lab)
    if not neutral.any():
        return 1.0
    mean = rgb[neutral].sum(axis=0)
    return float(mean.max() / max(float(mean.min()), 1e-6))


def _light_gates(fit: Fit, shown: Patches) -> list[Gate]:
    """Whether one light falls on the target, where it has greys enough along its length to tell.

    A model has one matrix for the whole target, so that greys under a second light are misread
    there, and the more the further over. What lightness does to greys is not put down to place.
    """
    grey = is_neutral(shown.lab)
    if grey.sum() < _LEAST_GREYS:
        return []
    place = shown.place[grey]
    error = (predict_lab(fit, shown.rgb, shown.place) - shown.lab)[grey, 1:]
    terms = np.column_stack([np.ones(len(place)), shown.lab[grey, 0] / 100.0, place])
    *_, across, along = np.linalg.lstsq(terms, error, rcond=None)[0]
    width, height = np.ptp(place, axis=0)
    drifts = (across * width + along * height, across * width - along * height)
    return [judge.one_light_gate(max(float(np.hypot(*drift)) for drift in drifts))]
