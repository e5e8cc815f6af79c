"""Regions of a photograph become samples, each judged by itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from livery.capture import gates as judge
from livery.capture.doubt import sample_lab
from livery.capture.model import Gate, Region, Sample
from livery.capture.plane import Plane
from livery.capture.region_pixels import RegionPixels, look_inside
from livery.capture.scene import Model, Scene
from livery.colour import Floats

# Beyond these a colour, D50/2°, is no number to be told: L*, a* or b*, and the square root of its
# covariance's trace. [source: workshop-choice]
_LIGHTNESS, _MOST_AB, _MOST_SD = (-20.0, 150.0), 250.0, 100.0
_EROSION_PX = 1.5  # blur at a region's edge [source: workshop-choice]
_DENSE = 8  # points along an edge that a lens bends [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """A region that could be read.

    Attributes:
        outline: of what was read, px, shape (n, 2).
        pixels: what it holds.
        place: its middle on the target, -1..1 along the longer side, shape (2,).
    """

    region: Region
    outline: Floats
    pixels: RegionPixels
    place: Floats


def sample_regions(
    scene: Scene, plane: Plane, model: Model | None, regions: Sequence[Region]
) -> tuple[tuple[Sample, ...], list[Gate], tuple[tuple[str, Floats], ...]]:
    """Measure regions.

    Args:
        scene: the photograph and the target.
        plane: where the target lies.
        model: of the camera's colour; None where there is none, and so no samples.
        regions: what to sample.

    Returns:
        Samples of the regions that could be read, the gates on all regions, and name and outline,
        px, shape (n, 2), of each that was read.
    """
    gates: list[Gate] = []
    seen: list[_Seen] = []
    for region in regions:
        one, where = _look(scene, plane, region), _where(region, plane)
        if one is None:
            gates.append(judge.region_inside_gate(region.name, math.inf, where))
            continue
        seen.append(one)
        gates += _pixel_gates(one, where)
    traces = tuple((one.region.name, one.outline) for one in seen)
    if model is None or not seen:
        return (), gates, traces
    samples = _samples(scene, model, seen)
    gates += [
        judge.region_lab_gate(sample.name, sample.lab.tolist(), _where(one.region, plane))
        for sample, one in zip(samples, seen, strict=True)
    ]
    return tuple(sample for sample in samples if _is_speakable(sample)), gates, traces


def _pixel_gates(seen: _Seen, where: str) -> list[Gate]:
    """What a region's place and pixels say of it, whatever its colour."""
    name, pixels = seen.region.name, seen.pixels
    return [
        judge.region_inside_gate(name, float(np.abs(seen.place).max()), where),
        judge.region_clipping_gate(name, pixels.clipped, where),
        judge.region_colour_gate(name, pixels.two_colours, where),
        judge.region_spots_gate(name, pixels.bright_outliers, where),
        judge.region_evenness_gate(name, pixels.uneven, where),
    ]


def _is_speakable(sample: Sample) -> bool:
    """Whether its numbers are numbers at all; its gate says what is wrong where they are not."""
    lightness, a, b = sample.lab
    inside = _LIGHTNESS[0] < lightness < _LIGHTNESS[1] and max(abs(a), abs(b)) < _MOST_AB
    return bool(inside and np.trace(sample.cov) < _MOST_SD**2)


def _where(region: Region, plane: Plane) -> str:
    """In words, after a blank, where a region lies on the target and in the photograph; or ""."""
    if region.polygon_mm is not None:
        mm = region.polygon_mm.mean(axis=0)
        px = plane.to_px(mm[None])[0]
    elif region.polygon_px is not None:
        px = region.polygon_px.mean(axis=0)
        mm = plane.to_mm(px[None])[0]
    else:
        return ""
    if not (np.isfinite(mm).all() and np.isfinite(px).all()):
        return ""
    return f" (at {mm[0]:.0f}, {mm[1]:.0f} mm on the target, {px[0]:.0f}, {px[1]:.0f} px)"


def _look(scene: Scene, plane: Plane, region: Region) -> _Seen | None:
    """Read a region; None where it leaves the picture or holds too few pixels."""
    outline = _outline_px(region, plane)
    pixels = look_inside(scene.photo, scene.linear, outline) if outline is not None else None
    if outline is None or pixels is None:
        return None
    place = scene.place(plane.to_mm(outline.mean(axis=0)[None]))[0]
    return _Seen(region, outline, pixels, place)


def _samples(scene: Scene, model: Model, seen: Sequence[_Seen]) -> tuple[Sample, ...]:
    labs, covs, shared, misfits = sample_lab(
        model.fit,
        model.doubt,
        np.stack([one.pixels.rgb for one in seen]) / model.white,
        np.stack([one.pixels.cov for one in seen]) / model.white**2,
        np.stack([one.place for one in seen]),
    )
    return tuple(
        Sample(
            name=one.region.name,
            item=one.region.item,
            ink=one.region.ink,
            lab=labs[i],
            cov=covs[i],
            shared_cov=shared[i],
            pixels=one.pixels.count,
            source=scene.photo.sha256,
            material=one.region.material,
            misfit_cov=misfits[i],
        )
        for i, one in enumerate(seen)
    )


def _outline_px(region: Region, plane: Plane) -> Floats | None:
    """A region's outline in px, drawn in by the blur of its edge; None when nothing is left."""
    points = region.polygon_px
    if points is None and region.polygon_mm is not None:
        points = plane.to_px(_dense(region.polygon_mm) if plane.bend else region.polygon_mm)
    if points is None or not np.isfinite(points).all():
        return None
    shape = shapely.make_valid(shapely.Polygon(points)).buffer(-_EROSION_PX)
    parts = [part for part in shapely.get_parts(shape) if part.area > 0]
    if not parts:
        return None
    largest = max(parts, key=lambda part: float(part.area))
    return np.asarray(largest.exterior.coords, dtype=np.float64)[:-1]


def _dense(polygon: Floats) -> Floats:
    """The same outline with points between its corners, as a lens bends straight edges."""
    steps = np.linspace(0.0, 1.0, _DENSE, endpoint=False)[None, :, None]
    following = np.roll(polygon, -1, axis=0)
    return np.asarray((polygon[:, None] * (1 - steps) + following[:, None] * steps).reshape(-1, 2))
