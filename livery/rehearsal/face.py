"""A blade between rails, its decals put on well or badly, and the truth of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from livery.artwork.cutting import cut_regions
from livery.capture.model import Target
from livery.drawing import LabColour
from livery.geometry import Affine
from livery.placement import Layout, Placement
from livery.rehearsal.model import Box, Material, Scene, SceneRegion
from livery.rehearsal.scene import WILLOW_LAB, make_scene, rings_of, spectrum_of
from livery.scheme.model import Palette, Spectrum

# Invented colours, CIELAB D50/2°, and sizes. Source: workshop-choice
_FILM_LAB: LabColour = (94.0, 0.0, -1.0)
_GRIP_LAB: LabColour = (30.0, -4.0, -9.0)
_RIB_LAB: LabColour = (36.0, -4.0, -9.0)
_GLINT_LAB: LabColour = (90.0, 0.0, 0.0)  # on a bubble
_SHADE_LAB: LabColour = (14.0, 0.0, 0.0)  # beside it
_GAP_LAB: LabColour = (45.0, 3.0, 12.0)  # under the edge of lifted film
_ABOVE_MM = 24.0  # of the grip that is in the picture
_RIB_MM = 6.0  # from rib to rib
_SCRATCH_MM = 0.5  # a scratch's width


_Part = tuple[BaseGeometry, Spectrum, Material]


@dataclass(frozen=True, slots=True)
class Slip:
    """How a decal was put on, against its layout.

    Attributes:
        dx_mm, dy_mm: of its centre, in the surface's frame.
        turn_deg: counter-clockwise as seen.
        stretch: along its length, 1 for none.
        upside_down, mirrored, missing: put on so, or left off.
        again_mm: how far along the blade a second one was put on, or None.
    """

    dx_mm: float = 0.0
    dy_mm: float = 0.0
    turn_deg: float = 0.0
    stretch: float = 1.0
    upside_down: bool = False
    mirrored: bool = False
    missing: bool = False
    again_mm: float | None = None


class BlemishKind(StrEnum):
    """What can be wrong with film on wood."""

    BUBBLE = "bubble"
    SCRATCH = "scratch"
    LIFT = "lift"


@dataclass(frozen=True, slots=True)
class Blemish:
    """Something wrong at a place of a decal.

    Attributes:
        placement: key of the decal's placement.
        x_mm, y_mm: its middle (a lift's corner), in the decal's frame.
        size_mm: a bubble's breadth, a scratch's length, a lift's side.
        turn_deg: a scratch's direction.
    """

    kind: BlemishKind
    placement: str
    x_mm: float
    y_mm: float
    size_mm: float
    turn_deg: float = 0.0


def _slipped(placement: Placement, slip: Slip) -> Affine:
    """Where a decal came to lie: its frame to the surface's."""
    centre = placement.affine.apply(np.zeros(2))
    x, y = float(centre[0]), float(centre[1])
    turn = -slip.turn_deg + (180.0 if slip.upside_down else 0.0)
    about = Affine.rotation(turn) @ Affine.scaling(-1.0 if slip.mirrored else 1.0, slip.stretch)
    moved = Affine.translation(x + slip.dx_mm, y + slip.dy_mm) @ about
    return moved @ Affine.translation(-x, -y) @ placement.affine


def face_scene(
    target: Target,
    window_mm: Box,
    layout: Layout,
    palette: Palette,
    place: Affine,
    slips: Mapping[str, Slip] | None = None,
    blemishes: Sequence[Blemish] = (),
) -> Scene:
    """A bat's face in the window of rails.

    Args:
        target: the rails.
        window_mm: between them, in the target's frame.
        layout: a bat with its decals as they should be.
        palette: the season's inks.
        place: the face's frame to the target's.
        slips: how decals were put on, by placement; those not named are where they should be.
        blemishes: what is wrong with them.

    Raises:
        ValueError: the layout is of no bat.
        ColourError: an ink's Lab that no reflectance has.
    """
    paints = {ink.key: spectrum_of(ink.lab) for ink in palette.inks}
    parts = [*_bare(layout), *_decals(layout, slips or {}, blemishes, paints)]
    under = []
    for number, (area, spectrum, material) in enumerate(parts):
        rings = rings_of(area, place)
        if rings:
            name = f"part {number}"
            under.append(SceneRegion(name, "", "", rings, spectrum, material, sampled=False))
    return make_scene(target, under=under, window_mm=window_mm)


def _bare(layout: Layout) -> Iterator[_Part]:
    """Blade, shoulders beside the grip, and the grip's end, in the face's frame."""
    dims = layout.item.dims
    outline = layout.item.surface("face").outline
    if dims is None:
        raise ValueError(f"{layout.item.name} is no bat: only a bat has a face")
    half = dims.handle_width / 2
    _, top, _, _ = outline.bounds
    first = outline.intersection(shapely.box(-1e3, top, 1e3, top + 0.01)).bounds
    entry = -dims.grip_below_entry
    shoulders = Polygon([(-half, entry), (half, entry), (first[2], 0.01), (first[0], 0.01)])
    blade = shapely.unary_union([outline, shoulders])
    yield blade, spectrum_of(WILLOW_LAB), Material.WILLOW
    yield shapely.box(-half, -_ABOVE_MM, half, 0.0), spectrum_of(_GRIP_LAB), Material.SMOOTH
    for level in np.arange(-_ABOVE_MM, -_RIB_MM / 2, _RIB_MM):
        rib = shapely.box(-half, level, half, level + _RIB_MM / 4)
        yield rib, spectrum_of(_RIB_LAB), Material.SMOOTH


def _decals(
    layout: Layout,
    slips: Mapping[str, Slip],
    blemishes: Sequence[Blemish],
    paints: Mapping[str, Spectrum],
) -> Iterator[_Part]:
    """The face's decals where they came to lie."""
    for placement in layout.placements:
        slip = slips.get(placement.key, Slip())
        if placement.surface != "face" or slip.missing:
            continue
        where = _slipped(placement, slip)
        spots = [one for one in blemishes if one.placement == placement.key]
        yield from _decal(placement, where, spots, paints)
        if slip.again_mm is not None:
            yield from _decal(placement, Affine.translation(0.0, slip.again_mm) @ where, (), paints)


def _decal(
    placement: Placement,
    where: Affine,
    blemishes: Sequence[Blemish],
    paints: Mapping[str, Spectrum],
) -> Iterator[_Part]:
    """Film, inks, and what is wrong with them; ``where``: the decal's frame to the face's."""
    decal = placement.decal
    film = decal.outline.transformed(where).polygon()
    yield film, spectrum_of(_FILM_LAB), Material.FILM
    for region in cut_regions(decal):
        yield region.path.transformed(where).polygon(), paints[region.ink], Material.FILM
    for blemish in blemishes:
        at = Affine.translation(blemish.x_mm, blemish.y_mm) @ Affine.rotation(-blemish.turn_deg)
        for area, lab in _marks(blemish):
            shape = shapely.affinity.affine_transform(area, (where @ at).for_shapely)
            yield shape.intersection(film), spectrum_of(lab), Material.FILM


def _marks(blemish: Blemish) -> Iterator[tuple[BaseGeometry, LabColour]]:
    """What a blemish shows about its middle: areas, mm, and their colours, in painter's order.

    A bubble catches a light and throws a shadow; a scratch shows the film, a lift the wood.
    """
    size, middle = blemish.size_mm, shapely.Point(0.0, 0.0)
    if blemish.kind is BlemishKind.BUBBLE:
        dome = middle.buffer(size / 2)
        side = shapely.affinity.translate(dome, 0.22 * size, 0.22 * size)
        other = shapely.affinity.translate(dome, -0.3 * size, -0.3 * size)
        yield dome.difference(side), _GLINT_LAB
        yield dome.intersection(side).difference(other), _SHADE_LAB
    elif blemish.kind is BlemishKind.SCRATCH:
        half = size / 2
        yield shapely.box(-half, -_SCRATCH_MM / 2, half, _SCRATCH_MM / 2), _FILM_LAB
    else:
        yield middle.buffer(size), _GAP_LAB
        yield middle.buffer(0.75 * size), WILLOW_LAB
