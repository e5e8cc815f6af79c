"""The truth beside a simulated photograph, as JSON."""

from __future__ import annotations

import json
from pathlib import Path

from livery.rehearsal.model import Floats, Photograph, TrueRegion, Truth
from livery.writing import write_whole

NOTE = (
    "Simulated by livery.rehearsal from spectra and published camera sensitivities; "
    "no camera took it."
)


def truth_json(truth: Truth) -> str:
    """The truth as JSON text: colours CIELAB D50/2°, pixels of the upright photograph."""
    data = {
        "simulated": True,
        "note": NOTE,
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


def _region(region: TrueRegion) -> dict[str, object]:
    return {
        "name": region.name,
        "ink": region.ink,
        "item": region.item,
        "material": region.material,
        "lab": [round(value, 6) + 0.0 for value in region.lab],
        "rings_mm": [_points(ring) for ring in region.rings_mm],
        "rings_px": [_points(ring) for ring in region.rings_px],
    }


def _points(points: Floats) -> list[list[float]]:
    return [[round(float(x), 3) + 0.0, round(float(y), 3) + 0.0] for x, y in points]
