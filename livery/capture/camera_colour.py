"""The camera's colour in one photograph: from its patches' pixels to a model, and its gates."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from livery.capture import gates as judge
from livery.capture.bench_profile import try_bench
from livery.capture.colour_model import Patches, shading_of, veil_of
from livery.capture.doubt import doubt_about
from livery.capture.mixed_light import light_drift
from livery.capture.model import Gate
from livery.capture.model_choice import LEAST_PATCHES, choose_model
from livery.capture.neutrals import balance, is_neutral
from livery.capture.patch_pixels import PatchPixels
from livery.capture.scene import Model, Scene
from livery.colour import Floats

_LEAST_LIGHT = 1e-6  # that a channel is taken to have [source: workshop-choice]


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
    model = _fitted(scene, seen, used)
    return model, gates + _light_gates(scene, seen, model)


def _fitted(scene: Scene, seen: PatchPixels, used: NDArray[np.intp]) -> Model:
    """The model that patches of those indices tell, or the bench's where that is the better."""
    patches = [scene.target.patches[i] for i in used]
    rgb, lab = seen.rgb[used], np.array([patch.lab for patch in patches], dtype=np.float64)
    white = float(balance(rgb, lab).max())
    shown = Patches(
        rgb / white,
        scene.place(np.array([patch.middle_mm for patch in patches])),
        lab,
        np.ones(len(used)),
        seen.cov[used] / white**2,
        math.sqrt(float(np.mean([patch.lab_sd**2 for patch in patches]))),
    )
    fit, trial = choose_model(shown), None
    if scene.bench:
        names = [patch.name for patch in patches]
        fit, trial = try_bench(fit, shown, names, scene.photo.sha256, scene.bench)
    return Model(fit, doubt_about(fit, shown), white, tuple(used.tolist()), shown, trial)


def _light_gates(scene: Scene, seen: PatchPixels, model: Model) -> list[Gate]:
    """What the model and the patches it rests on say of light, lens and colour."""
    fit, shown = model.fit, model.shown
    middles = np.array([patch.middle_mm for patch in scene.target.patches])
    light, drift = shading_of(fit, scene.place(middles)), light_drift(fit, shown)
    return [
        judge.exposure_gate(model.white),
        judge.cast_gate(_cast(seen.rgb[list(model.used)], shown.lab)),
        *([] if drift is None else [judge.one_light_gate(drift)]),
        judge.veil_gate(veil_of(fit)),
        judge.shading_gate(float(light.max() / light.min() - 1.0)),
        judge.characterisation_gate(float(np.mean(fit.loo_de00))),
    ]


def _cast(rgb: Floats, lab: Floats) -> float:
    """Strongest over weakest channel of the neutrals; 1 when there is none to tell by.

    Args:
        rgb: linear light of the patches, shape (n, 3).
        lab: their reference, D50/2°, shape (n, 3).
    """
    neutral = is_neutral(lab)
    if not neutral.any():
        return 1.0
    mean = rgb[neutral].sum(axis=0)
    return float(mean.max() / max(float(mean.min()), _LEAST_LIGHT))
