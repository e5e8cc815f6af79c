"""Putting a scene together: any target, with regions beneath its window or laid beside it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from livery.capture.model import Target
from livery.colour import WAVELENGTHS_NM, Floats, spectrum_for_lab
from livery.drawing import LabColour
from livery.geometry import Affine
from livery.rehearsal.model import Box, Material, Scene, SceneRegion
from livery.scheme.model import Spectrum

# Invented wood, stock, ink and bench, CIELAB D50/2°. Source: workshop-choice
WILLOW_LAB: LabColour = (80.0, 5.0, 22.0)
_PAPER_LAB: LabColour = (94.0, 0.0, -1.5)
_BLACK_LAB: LabColour = (17.0, 0.0, 0.0)
_BENCH_LAB: LabColour = (38.0, 6.0, 14.0)
_MARGIN = 0.04  # workshop choice: room round everything, share of the diagonal


@lru_cache(maxsize=1024)
def spectrum_of(lab: LabColour) -> Spectrum:
    """An invented smooth reflectance that has exactly that colour under D50.

    Raises:
        ColourError: no reflectance has that colour.
    """
    return Spectrum(WAVELENGTHS_NM, spectrum_for_lab(lab))


def rings_of(area: BaseGeometry, place: Affine) -> tuple[Floats, ...]:
    """An area's outlines, holes too, where it is put: each shape (n, 2), not closed.

    Args:
        area: polygons, in their own frame; lines and points in it are passed over.
        place: that frame to the target's.
    """
    moved = shapely.affinity.affine_transform(area, place.for_shapely)
    return tuple(
        np.asarray(ring.coords)[:-1]
        for part in shapely.get_parts(moved)
        if isinstance(part, Polygon) and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    )


def region(
    name: str,
    ring_mm: Floats,
    colour: LabColour | Spectrum,
    *,
    ink: str = "",
    item: str = "",
    material: Material = Material.SMOOTH,
) -> SceneRegion:
    """A region of one outline.

    Args:
        name: what the truth calls it.
        ring_mm: its outline, shape (n, 2), in the target's frame.
        colour: its spectrum, or the CIELAB D50/2° to invent one for.
        ink: key of its ink; its name unless given.
        item: name of the kit item it belongs to.
        material: what it is made of.

    Raises:
        ColourError: no reflectance has that colour.
    """
    spectrum = colour if isinstance(colour, Spectrum) else spectrum_of(colour)
    rings = (np.asarray(ring_mm, dtype=np.float64),)
    return SceneRegion(name, ink or name, item, rings, spectrum, material)


def make_scene(
    target: Target,
    under: Iterable[SceneRegion] = (),
    over: Iterable[SceneRegion] = (),
    *,
    window_mm: Box | None = None,
    patches: tuple[Spectrum, ...] | None = None,
    paper: LabColour = _PAPER_LAB,
) -> Scene:
    """A scene about a target.

    Args:
        target: whose patches get spectra that have their Lab exactly.
        under: regions on the bench, in painter's order, beneath the target.
        over: regions laid on top of it, or beside.
        window_mm: cut out of the target.
        patches: measured spectra instead, one a patch, in order.
        paper: CIELAB D50/2° of the target's paper.

    Raises:
        ColourError: a Lab, of a patch or the paper, that no reflectance has.
    """
    beneath, above = tuple(under), tuple(over)
    return Scene(
        target,
        beneath,
        above,
        window_mm,
        patches or tuple(spectrum_of(patch.lab) for patch in target.patches),
        spectrum_of(paper),
        spectrum_of(_BLACK_LAB),
        spectrum_of(_BENCH_LAB),
        _frame(target, (*beneath, *above)),
    )


def _frame(target: Target, regions: tuple[SceneRegion, ...]) -> Box:
    """A box round target and regions, with a margin."""
    corners = [np.array([[0.0, 0.0], [target.width_mm, target.height_mm]])]
    points = np.concatenate(corners + [ring for one in regions for ring in one.rings_mm])
    (x0, y0), (x1, y1) = points.min(axis=0).tolist(), points.max(axis=0).tolist()
    margin = _MARGIN * float(np.hypot(x1 - x0, y1 - y0))
    return x0 - margin, y0 - margin, x1 + margin, y1 + margin
