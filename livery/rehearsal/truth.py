"""What a simulated photograph really shows: worked out from the scene, and written as JSON."""

from __future__ import annotations

import json
from dataclasses import fields
from enum import Enum
from pathlib import Path

import numpy as np

from livery.colour import Floats, spectrum_to_lab
from livery.drawing import LabColour, lab_colour
from livery.rehearsal.exposure import light_level
from livery.rehearsal.model import (
    Camera,
    Light,
    Material,
    Photograph,
    Pose,
    Scene,
    SceneRegion,
    TrueRegion,
    Truth,
    box_ring,
)
from livery.rehearsal.optics import View
from livery.scheme.model import Spectrum
from livery.writing import write_whole

_NOTE = (
    "Simulated by livery.rehearsal from spectra and published camera sensitivities; "
    "no camera took it."
)
_PATCH_ITEM = "target"  # what patches belong to, beside regions of kit
_GRID = 21  # workshop choice: places a side at which the target's light is looked at


def find_truth(scene: Scene, view: View, settings: tuple[Camera, Light, Pose], seed: int) -> Truth:
    """What a photograph of the scene really shows.

    Args:
        scene: what is there.
        view: where it appears.
        settings: how it was taken, to be listed.
        seed: of texture and noise, to be listed.
    """
    target, light = scene.target, settings[1]
    width, height = target.width_mm, target.height_mm
    across, along = np.linspace(0, width, _GRID), np.linspace(0, height, _GRID)
    places = np.stack(np.meshgrid(across, along), axis=-1).reshape(-1, 2)
    level = light_level(places, light, scene.frame_mm)
    patches = (
        SceneRegion(
            patch.name,
            "",
            _PATCH_ITEM,
            (box_ring(patch.x_mm, patch.y_mm, patch.x_mm + patch.w_mm, patch.y_mm + patch.h_mm),),
            spectrum,
            Material.SMOOTH,
        )
        for patch, spectrum in zip(target.patches, scene.patches, strict=True)
    )
    return Truth(
        tuple(_true_region(region, view) for region in scene.regions),
        tuple(_true_region(patch, view) for patch in patches),
        view.to_px(box_ring(0.0, 0.0, width, height)),
        float(level.min() / level.max()),
        view.scale_at(target.middle_mm),
        (*(pair for value in settings for pair in _listed(value)), ("seed", str(seed))),
    )


def truth_json(truth: Truth) -> str:
    """The truth as JSON text: colours CIELAB D50/2°, pixels of the upright photograph."""
    data = {
        "simulated": True,
        "note": _NOTE,
        "regions": [_region(region) for region in truth.regions],
        "patches": [_region(patch) for patch in truth.patches],
        "corners_px": _points(truth.corners_px),
        "light_range": round(truth.light_range, 4),
        "scale_px_per_mm": round(truth.scale_px_per_mm, 4),
        "settings": dict(truth.settings),
    }
    return json.dumps(data, indent=1) + "\n"


def write_photograph(photograph: Photograph, stem: Path) -> tuple[Path, Path]:
    """Write the photograph and, beside it, its truth.

    Args:
        photograph: as rendered.
        stem: path without a suffix.

    Returns:
        The picture's path and the truth's (``<stem>.truth.json``).

    Raises:
        OutputError: the place cannot be written.
    """
    picture = stem.with_name(stem.name + photograph.suffix)
    truth = stem.with_name(stem.name + ".truth.json")
    write_whole(picture, photograph.data)
    write_whole(truth, truth_json(photograph.truth))
    return picture, truth


def _listed(value: Camera | Light | Pose) -> list[tuple[str, str]]:
    """Every setting's name and value."""
    named = ((f.name, getattr(value, f.name)) for f in fields(value))
    return [(name, v.name.lower() if isinstance(v, Enum) else str(v)) for name, v in named]


def _true_region(region: SceneRegion, view: View) -> TrueRegion:
    return TrueRegion(
        region.name,
        region.ink,
        region.item,
        region.material.value,
        _lab_of(region.spectrum),
        region.rings_mm,
        tuple(view.to_px(ring) for ring in region.rings_mm),
    )


def _lab_of(spectrum: Spectrum) -> LabColour:
    return lab_colour(spectrum_to_lab(spectrum.wavelengths_nm, spectrum.reflectance, "D50"))


def _region(region: TrueRegion) -> dict[str, object]:
    return {
        "name": region.name,
        "ink": region.ink,
        "item": region.item,
        "material": region.material,
        "lab": [round(value, 6) + 0.0 for value in region.lab],  # a zero without sign
        "rings_mm": [_points(ring) for ring in region.rings_mm],
        "rings_px": [_points(ring) for ring in region.rings_px],
    }


def _points(points: Floats) -> list[list[float]]:
    return [[round(float(x), 3) + 0.0, round(float(y), 3) + 0.0] for x, y in points]
