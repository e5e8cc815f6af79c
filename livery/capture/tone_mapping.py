"""Whether a camera tones parts of a picture apart (local tone mapping), as HDR modes do.

Such a camera darkens what lies in light surroundings and lightens what lies in dark ones. A patch
then reads by its neighbours, and a region by its own, which no model of colour can undo. A curve
that is the same all over the picture is no such thing, nor are uneven and stray light. On a chart
of 24 patches, whose surroundings differ little, only strong toning is sure.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from livery.capture.colour_model import predict_xyz, surface
from livery.capture.plane import Plane
from livery.capture.scene import Model, Scene
from livery.colour import Floats, lab_to_xyz

# Every figure: [source: workshop-choice]
_SEARCH_PX = 160  # longest side of what surroundings are taken from, about
_REACHES = (1.0, 2.0)  # how far surroundings go, in the least patch's sides (standard deviation)
_LEAST_LIGHT = 0.03  # Y below which a patch tells more of stray light
_BLACK = 0.01  # linear light added to all, so that black has a logarithm
_LEAST_PATCHES = 18  # that tell surroundings from the rest
_SURE = 2.5  # standard errors by which a share is sure


def taken_back(scene: Scene, plane: Plane, model: Model) -> float | None:
    """The share of its surroundings' light that is surely taken back from a patch.

    Args:
        scene: the photograph and the target.
        plane: where the target lies.
        model: of the camera's colour, with the patches it rests on.

    Returns:
        0 or less where nothing tells of it; 1 would make all surroundings alike. None where too
        few patches can be read.

    Source:
        Regression on the logarithm of light, with what curves and uneven light do beside it
        [source: common-practice].
    """
    shown = model.shown
    true = lab_to_xyz(shown.lab)[:, 1]
    read = predict_xyz(model.fit, shown.rgb, shown.place)[:, 1]
    told = (true > _LEAST_LIGHT) & (read > _LEAST_LIGHT)
    if told.sum() < _LEAST_PATCHES:
        return None
    light, place = np.log(true[told]), shown.place[told]
    wrong = np.log(read[told]) - light
    beside = np.column_stack([np.ones(len(light)), light, light**2, surface(place, 2)])
    around = _surroundings(scene, plane, np.flatnonzero(told), model)
    return max(_least_slope(beside, -one, wrong) for one in around)


def _surroundings(scene: Scene, plane: Plane, told: NDArray[np.intp], model: Model) -> list[Floats]:
    """The logarithm of the light round patches, blurred by each reach, shape (n,).

    Which patches, ``told`` says: indices into those that the model rests on.
    """
    import cv2

    photo, patches = scene.photo, scene.target.patches
    step = max(1, max(photo.size_px) // _SEARCH_PX)
    light = scene.linear(photo.codes[::step, ::step]).mean(axis=-1)
    log = np.log(light + _BLACK).astype(np.float32)
    middles = np.array([patches[model.used[i]].middle_mm for i in told])
    places = (plane.to_px(middles) / step).astype(np.float32)
    side = scene.least_patch_mm * float(np.sqrt(np.prod(plane.stretch(middles.mean(axis=0)))))
    found = []
    for reach in _REACHES:
        blurred = cv2.GaussianBlur(log, (0, 0), reach * side / step)
        around = cv2.remap(blurred, places[:, 0], places[:, 1], cv2.INTER_LINEAR)
        found.append(np.asarray(around, np.float64).ravel())
    return found


def _least_slope(beside: Floats, by: Floats, wrong: Floats) -> float:
    """How steeply errors rise by something, less its doubt, with other causes allowed for.

    Args:
        beside: other causes, shape (n, causes).
        by: the something, shape (n,).
        wrong: the errors, shape (n,).
    """
    own = by - beside @ np.linalg.lstsq(beside, by, rcond=None)[0]
    left = wrong - beside @ np.linalg.lstsq(beside, wrong, rcond=None)[0]
    square = max(float(own @ own), 1e-12)
    slope = float(own @ left) / square
    rest = left - slope * own
    freedom = len(wrong) - beside.shape[1] - 1
    return slope - _SURE * float(np.sqrt(rest @ rest / freedom / square))
