"""A photograph becomes a capture: the stages in order, and which of them could be gone through."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.capture import gates as judge
from livery.capture.bench_profile import BenchShot
from livery.capture.camera_colour import model_colour
from livery.capture.duplicate import Known, fingerprint_of, nearest
from livery.capture.focus import edge_width_mm, sharpness
from livery.capture.linear_light import linear_of
from livery.capture.locating import Located, locate_target
from livery.capture.model import (
    Capture,
    Characterisation,
    Gate,
    PatchReading,
    Region,
    Sample,
    Target,
    Trace,
)
from livery.capture.patch_pixels import inner_corners, read_patches
from livery.capture.photograph import Photograph, grey_of, read_photograph
from livery.capture.plane import Plane
from livery.capture.sampling import sample_regions
from livery.capture.scene import Model, Scene
from livery.capture.tone_mapping import taken_back
from livery.colour import Floats

# Every figure: [source: workshop-choice]
_EROSION = 0.22  # share of a patch's side left out at each edge
_EROSION_CORNERS = 0.27  # the same where the target was found by its corners or patches alone
_THINNED_PX = 800  # longest side, about, of what is looked at for clipping
_FULL, _EMPTY = 250, 5  # codes of 255 from which a pixel counts as either


def measure(
    photo_path: str | Path,
    target: Target,
    regions: Sequence[Region] = (),
    corners: ArrayLike | None = None,
    known: Sequence[Known] = (),
    bench: Sequence[BenchShot] = (),
) -> Capture:
    """Measure the colours of regions in a photograph that shows a target.

    Args:
        photo_path: a JPEG, PNG or TIFF.
        target: the target in the picture.
        regions: what to sample, in the target's mm or in the photograph's px.
        corners: the target's corners in px of the photograph as EXIF turns it, shape (4, 2):
            top-left, top-right, bottom-right, bottom-left as printed. On the rendition chart
            these are the corners by the dark-skin, bluish-green, black and white patches. None
            looks for the target.
        known: photographs already had, of which this must be none.
        bench: stored photographs by the same camera in the same light (``read_bench``); the model
            learnt from them is used where it beats the photograph's own.

    Returns:
        Samples with their covariance, and every gate that could be judged. Where the target is
        not seen, or too few patches can be read, there are no samples. A gate that is not ok says
        what to change; a sample that is no evidence is withheld, and says why.

    Raises:
        PhotographError: the file is no photograph that can be read.
    """
    photo = read_photograph(Path(photo_path))
    return measure_photograph(photo, target, regions, corners, known, bench)


def measure_photograph(
    photo: Photograph,
    target: Target,
    regions: Sequence[Region] = (),
    corners: ArrayLike | None = None,
    known: Sequence[Known] = (),
    bench: Sequence[BenchShot] = (),
) -> Capture:
    """Measure a photograph already decoded; all else is as for ``measure``.

    Raises:
        PhotographError: its colour profile cannot be used.
    """
    scene = Scene(photo, grey_of(photo), linear_of(photo), target, tuple(bench))
    located = locate_target(scene, corners)
    if located.plane is None:
        capture = _unseen(scene, located)
    else:
        exact = bool(target.markers) and corners is None
        erosion = _EROSION if exact else _EROSION_CORNERS
        capture = _measure_plane(scene, located.plane, located, regions, erosion)
    fingerprint = fingerprint_of(photo)
    gates = capture.gates
    if known:
        gates += (judge.duplicate_gate(*nearest(photo, fingerprint, known)),)
    capture = replace(capture, gates=gates, fingerprint=fingerprint)
    return replace(capture, samples=tuple(_marked(one, gates) for one in capture.samples))


def _marked(sample: Sample, gates: Sequence[Gate]) -> Sample:
    """The sample, withheld where a gate on it or on the whole photograph is failed."""
    failed = [gate for gate in gates if not gate.ok and gate.region in ("", sample.name)]
    return replace(sample, withheld="; ".join(f"{gate.gate}: {gate.advice}" for gate in failed))


def _unseen(scene: Scene, located: Located) -> Capture:
    """What may be said of a photograph in which the target was not found."""
    photo, target = scene.photo, scene.target
    gates = [located.gate, judge.sharpness_gate(sharpness(scene.grey)), _picture_clipping(photo)]
    most = max(photo.size_px) / max(target.width_mm, target.height_mm)
    scale = judge.scale_gate(most, scene.least_patch_mm)
    gates += [] if scale.ok else [scale]
    return Capture(
        photo=photo.path,
        target=target.key,
        samples=(),
        gates=tuple(gates),
        characterisation=None,
        scale_px_per_mm=0.0,
        homography_residual_mm=0.0,
        absolute=_is_absolute(target),
        source=photo.sha256,
        trace=Trace(located.markers_px),
    )


def _measure_plane(
    scene: Scene, plane: Plane, located: Located, regions: Sequence[Region], erosion: float
) -> Capture:
    """What may be said of a photograph in which the target lies in a plane.

    ``erosion``: share of a patch's side left out at each edge.
    """
    target, photo = scene.target, scene.photo
    middle = target.middle_mm
    px_per_mm = math.sqrt(math.prod(plane.stretch(middle)))
    gates = [located.gate, *_geometry_gates(scene, plane, px_per_mm, middle)]
    corners_mm = inner_corners(target.patches, erosion)
    outlines = plane.to_px(corners_mm.reshape(-1, 2)).reshape(-1, 4, 2)
    seen = read_patches(photo, scene.linear, outlines)
    scene = replace(scene, linear=seen.linear)
    clipped = seen.readable & (seen.clipped > judge.CLIPPED_PATCH)
    model, colour_gates = model_colour(scene, seen, clipped)
    gates += colour_gates
    share = taken_back(scene, plane, model) if model else None
    gates += [] if share is None else [judge.tone_gate(share)]
    samples, region_gates, traces = sample_regions(scene, plane, model, regions)
    gates += region_gates
    frame = [(0, 0), (target.width_mm, 0), (target.width_mm, target.height_mm)]
    corners_px = plane.to_px(np.array([*frame, (0, target.height_mm)], dtype=np.float64))
    return Capture(
        photo=photo.path,
        target=target.key,
        samples=samples,
        gates=tuple(gates),
        characterisation=_summary(model) if model else None,
        scale_px_per_mm=px_per_mm,
        homography_residual_mm=plane.residual_mm,
        absolute=_is_absolute(target),
        corners_px=corners_px,
        source=photo.sha256,
        trace=Trace(located.markers_px, _readings(target, outlines, clipped, model), traces),
    )


def _readings(
    target: Target, outlines: Floats, clipped: NDArray[np.bool_], model: Model | None
) -> tuple[PatchReading, ...]:
    """How each patch was seen, in the target's order."""
    errors = dict(zip(model.used, model.fit.loo_de00.tolist(), strict=True)) if model else {}
    light = dict(zip(model.used, model.shown.rgb, strict=True)) if model else {}
    place = dict(zip(model.used, model.shown.place, strict=True)) if model else {}
    return tuple(
        PatchReading(
            name=patch.name,
            corners_px=outline,
            lab=patch.lab,
            de00=errors.get(i),
            clipped=bool(clipped[i]),
            light=light.get(i),
            place=place.get(i),
        )
        for i, (patch, outline) in enumerate(zip(target.patches, outlines, strict=True))
    )


def _is_absolute(target: Target) -> bool:
    """Whether every patch was measured on this print."""
    return all(patch.measured for patch in target.patches)


def _summary(model: Model) -> Characterisation:
    """The camera's model in words and errors."""
    method, error, trial = model.fit.form.name, model.fit.loo_de00, model.trial
    if trial is not None and trial.used:
        method += f", learnt from {trial.photographs} photographs of this bench"
    return Characterisation(method, float(error.mean()), float(error.max()), trial)


def _picture_clipping(photo: Photograph) -> Gate:
    """How much of a picture without a target is full or empty."""
    step = max(1, max(photo.size_px) // _THINNED_PX)
    codes = photo.codes[::step, ::step] * (255.0 / photo.full_scale)
    clipped = ((codes.min(axis=-1) >= _FULL) | (codes.max(axis=-1) <= _EMPTY)).mean()
    return judge.picture_clipping_gate(float(clipped))


def _geometry_gates(scene: Scene, plane: Plane, px_per_mm: float, middle: Floats) -> list[Gate]:
    """Scale, focus, tilt and flatness; ``middle`` of the target, mm."""
    least = scene.least_patch_mm
    return [
        judge.scale_gate(px_per_mm, least),
        judge.focus_gate(edge_width_mm(scene.grey, plane, scene.target), least),
        judge.tilt_gate(plane.tilt_deg(middle)),
        judge.geometry_gate(plane.residual_mm),
    ]
