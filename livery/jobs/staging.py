"""Kit laid out beside a target for a simulated photograph, and where to measure on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from shapely.affinity import affine_transform
from shapely.geometry import Point, box

from livery.capture.layout_regions import InkArea, ink_areas, largest_circle, seen_parts
from livery.capture.model import Region
from livery.drawing import LabColour
from livery.geometry import Affine
from livery.placement import Layout
from livery.rehearsal import Material, SceneRegion, spectrum_of
from livery.rehearsal.scene import WILLOW_LAB, rings_of
from livery.scheme.model import Palette

BARE_LAB: LabColour = (88.0, 0.0, 4.0)  # invented; a panel that the season gives no ink
_LARGEST_SPOT_MM = 9.0  # radius; workshop choice
_SMALLEST_SPOT_MM = 1.5  # smaller than this is not worth measuring; workshop choice
_SPOT_SHARE = 0.75  # of the largest circle that fits, so that an edge is never sampled
_CORNERS = 24


@dataclass(frozen=True, slots=True, eq=False)
class StagedItem:
    """A piece of kit as it lies in the picture.

    Attributes:
        name: of the item, in samples and verdicts.
        affine: from the bat's face or the glove's or pad's own frame to the target's, mm.
        window_mm: the part of the piece in the picture (x0, y0, x1, y1), in its frame.
        shift: how its colours differ from the aim (ΔL*, Δa*, Δb*) by ink key; invented.
    """

    name: str
    layout: Layout
    affine: Affine
    window_mm: tuple[float, float, float, float]
    shift: Mapping[str, LabColour]


def stage(
    item: StagedItem, palette: Palette, beside_mm: tuple[float, float]
) -> tuple[tuple[SceneRegion, ...], tuple[Region, ...]]:
    """What the camera sees of one piece, and one spot to measure for each of its inks.

    Args:
        item: the piece.
        palette: the season's inks.
        beside_mm: middle of the target in its frame; of equal spots the nearest is measured.

    Returns:
        Scene regions in painter's order, and regions to measure, both in the target's frame. The
        spots are scene regions too, of the same colour, so that the truth lists them.
    """
    is_bat = item.layout.item.dims is not None
    window = box(*item.window_mm)
    patches = [
        replace(p, area=p.area.intersection(window))
        for p in ink_areas(item.layout, "face" if is_bat else "")
    ]
    colours = {ink.key: _shifted(ink.lab, item.shift.get(ink.key)) for ink in palette.inks}
    shown = [_scene_region(item, patch, colours, n) for n, patch in enumerate(patches)]
    spots = list(_spots(item, patches, colours, Point(beside_mm)))
    scene = [region for region in shown if region is not None] + [spot for spot, _ in spots]
    return tuple(scene), tuple(region for _, region in spots)


def _spots(
    item: StagedItem, patches: list[InkArea], colours: Mapping[str, LabColour], target: Point
) -> Iterator[tuple[SceneRegion, Region]]:
    """For each ink worth measuring, the largest and then nearest circle inside what is seen."""
    to_target = item.affine.for_shapely
    # On gloves and pads the panels are what must match; a decal there is too small.
    decals = item.layout.item.dims is not None
    seen = seen_parts([patch.area for patch in patches])
    worth = [(n, p) for n, p in enumerate(patches) if p.ink and p.is_decal == decals]
    for ink in dict.fromkeys(patch.ink for _, patch in worth):
        found = []
        for n, patch in worth:
            if patch.ink == ink:
                widest, centre = largest_circle(seen[n])
                radius = min(widest * _SPOT_SHARE, _LARGEST_SPOT_MM)
                away = affine_transform(centre, to_target).distance(target)
                found.append((-radius, away, n, centre, _material(patch.material)))
        radius, centre, material = -min(found)[0], min(found)[3], min(found)[4]
        if radius >= _SMALLEST_SPOT_MM:
            ring = item.affine.apply(_circle(centre, radius))
            name = f"{item.name} {ink}"
            spectrum = spectrum_of(colours[ink])
            scene = SceneRegion(name, ink, item.name, (ring,), spectrum, material)
            yield scene, Region(name, ink, item.name, polygon_mm=ring, material=material.value)


def _scene_region(
    item: StagedItem, patch: InkArea, colours: Mapping[str, LabColour], number: int
) -> SceneRegion | None:
    rings = rings_of(patch.area, item.affine)
    if not rings:
        return None
    material = _material(patch.material)
    bare = WILLOW_LAB if material is Material.WILLOW else BARE_LAB
    spectrum = spectrum_of(colours.get(patch.ink, bare))
    name = f"{item.name} part {number}"
    return SceneRegion(name, patch.ink, item.name, rings, spectrum, material, sampled=False)


def _shifted(lab: LabColour, shift: LabColour | None) -> LabColour:
    dL, da, db = shift or (0.0, 0.0, 0.0)
    return (lab[0] + dL, lab[1] + da, lab[2] + db)


def _circle(centre: Point, radius: float) -> np.ndarray:
    turn = np.linspace(0.0, 2.0 * np.pi, _CORNERS, endpoint=False)
    return np.column_stack([centre.x + radius * np.cos(turn), centre.y + radius * np.sin(turn)])


def _material(name: str) -> Material:
    try:
        return Material(name)
    except ValueError:
        return Material.SMOOTH
