"""The camera's colour in one photograph: from its patches' pixels to a model, and its gates."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from livery.capture import gates as judge
from livery.capture.bench_profile import try_bench
from livery.capture.characterise import LEAST_PATCHES, choose_model
from livery.capture.colour_model import Patches, shading_of, veil_of
from livery.capture.doubt import doubt_about
from livery.capture.lamps import light_drift
from livery.capture.model import Gate
from livery.capture.neutrals import balance, is_neutral
from livery.capture.patch_pixels import PatchPixels
from livery.capture.scene import Model, Scene
from livery.colour import Floats


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
    light, drift = shading_of(fit, place), light_drift(fit, shown)
    gates += [
        judge.exposure_gate(white),
        judge.cast_gate(_cast(rgb, lab)),
        *([] if drift is None else [judge.one_light_gate(drift)]),
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
