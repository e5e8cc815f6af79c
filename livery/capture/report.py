"""A capture as data for other programs."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from livery.capture.model import Capture, Gate, PatchReading, Sample

_DECIMALS = 8  # beyond any photograph, short of where processors differ [source: workshop-choice]


def capture_to_json(capture: Capture) -> dict[str, Any]:
    """The capture as plain numbers, texts, lists and tables.

    A number without a finite value (no edge to measure, a region off the picture) is None.
    Numbers are rounded, so that a photograph's capture has the same text whatever processor it is
    measured by. ``digest`` is over all else, so that what was changed by hand later can be told.
    """
    data: dict[str, Any] = _rounded(_as_data(capture))
    return {**data, "digest": capture_digest(data)}


def capture_digest(data: Mapping[str, Any]) -> str:
    """SHA-256 of a capture's data, hexadecimal; of all but the digest it holds itself.

    Args:
        data: as ``capture_to_json`` gives it, or as read back from its JSON.
    """
    rest = {key: value for key, value in data.items() if key != "digest"}
    text = json.dumps(rest, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _rounded(value: Any) -> Any:
    """Data with every number in it rounded."""
    if isinstance(value, float):
        return round(float(value), _DECIMALS) + 0.0  # a zero without sign
    if isinstance(value, list):
        return [_rounded(one) for one in value]
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    return value


def _as_data(capture: Capture) -> dict[str, Any]:
    corners = capture.corners_px
    return {
        "photo": capture.photo,
        "target": capture.target,
        "source": capture.source,
        "fingerprint": capture.fingerprint,
        "ok": capture.ok,
        "headline": capture.headline,
        "absolute": capture.absolute,
        "samples": [_sample(sample) for sample in capture.samples],
        "gates": [_gate(gate) for gate in capture.gates],
        "characterisation": None
        if capture.characterisation is None
        else asdict(capture.characterisation),
        "patches": [_patch(patch) for patch in capture.trace.patches],
        "scale_px_per_mm": capture.scale_px_per_mm,
        "homography_residual_mm": capture.homography_residual_mm,
        "corners": None if corners is None else corners.tolist(),
    }


def _sample(sample: Sample) -> dict[str, Any]:
    return {
        "name": sample.name,
        "item": sample.item,
        "ink": sample.ink,
        "lab": sample.lab.tolist(),
        "cov": sample.cov.tolist(),
        "shared_cov": sample.shared_cov.tolist(),
        "misfit_cov": None if sample.misfit_cov is None else sample.misfit_cov.tolist(),
        "pixels": sample.pixels,
        "source": sample.source,
        "material": sample.material,
        "withheld": sample.withheld,
    }


def _patch(patch: PatchReading) -> dict[str, Any]:
    return {
        "name": patch.name,
        "lab": list(patch.lab),
        "de00": patch.de00,
        "clipped": patch.clipped,
        "light": None if patch.light is None else patch.light.tolist(),
        "place": None if patch.place is None else patch.place.tolist(),
    }


def _gate(gate: Gate) -> dict[str, Any]:
    return asdict(gate) | {"value": gate.value if math.isfinite(gate.value) else None}
