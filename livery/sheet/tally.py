"""Which decals print, and how many of each, from the layouts of the orders."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from livery.artwork.model import Decal
from livery.geometry import Affine, Area
from livery.placement.model import Layout, Placement
from livery.scheme.model import Finish, Palette, PrintProfile, Scheme
from livery.sheet.model import SheetDecal
from livery.sheet.pieces import liner_piece, spacing_mm
from livery.sheet.silhouette import Silhouette

_SCALE_DIGITS = 4
_CURVE_TOLERANCE_MM = 0.01
_FEWEST_CHORDS = 8
_HASH_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Copy:
    """One decal to print.

    Attributes:
        decal: key of its SheetDecal.
        order: the order's key, or "" for a spare.
        placement: the placement's key, or "" for a spare.
        kit: names the one kit item it goes on; copies of one kit peel together.
    """

    decal: str
    order: str
    placement: str
    kit: str


@dataclass(frozen=True, slots=True, eq=False)
class Tally:
    """Distinct decals and every copy wanted, in the order of the layouts."""

    decals: tuple[SheetDecal, ...]
    copies: tuple[Copy, ...]


def count_decals(scheme: Scheme, layouts: Sequence[Layout]) -> Tally:
    """Count what the orders need, with the season's spares.

    Layouts of the season's range (no order) are not printed. Spares are made of every distinct
    print of a decal: a spare of another size or name is of no use.
    """
    decals: dict[str, SheetDecal] = {}
    copies: list[Copy] = []
    for layout in layouts:
        if not layout.order:
            continue
        placed = [(_distinct(p), p.key) for p in layout.placements]
        for decal, _ in placed:
            decals.setdefault(decal.key, decal)
        item = layout.item
        name = "/".join(part for part in (layout.order, item.key, item.size, item.side) if part)
        for number in range(1, layout.copies + 1):
            kit = f"{name}/{number}"
            copies += [Copy(decal.key, layout.order, key, kit) for decal, key in placed]
    spares = {spec.key: spec.quantity_spare for spec in scheme.decals}
    for decal in decals.values():
        wanted = spares.get(decal.decal.key.split("#")[0], 0)
        copies += [Copy(decal.key, "", "", "")] * wanted
    return Tally(tuple(decals.values()), tuple(copies))


def _distinct(placement: Placement) -> SheetDecal:
    scale = round(placement.scale, _SCALE_DIGITS)
    key = placement.decal.key
    key += f"@{scale:g}" if scale != 1.0 else ""
    key += "~mirrored" if placement.mirrored else ""
    return SheetDecal(key, placement.decal, scale, placement.mirrored)


def print_frame(decal: SheetDecal) -> Affine:
    """Decal frame (nominal mm, y down) to the print frame: true size and handedness, y up."""
    across = -decal.scale if decal.mirrored else decal.scale
    return Affine.scaling(across, -decal.scale)


def allowed_turns(decal: Decal, palette: Palette) -> tuple[float, ...]:
    """Quarter turns in which a decal may be printed.

    Lettering keeps upright so that the bench reads the sheet, and a metallic ink keeps its one
    direction so that its flakes glint alike on every copy.

    Source: [source: workshop-choice].
    """
    metallic = any(palette.ink(key).finish is Finish.METALLIC for key in decal.inks)
    if metallic or decal.texts or decal.role == "lettering":
        return (0.0,)
    return (0.0, 90.0, 180.0, 270.0)


def outline_area(decal: SheetDecal) -> Silhouette:
    """The bare cut outline in the print frame, with no spacing and no turn."""
    path = decal.decal.outline.transformed(print_frame(decal))
    area = path.polygon(_CURVE_TOLERANCE_MM)
    return Silhouette(path.svg_d(_HASH_DIGITS), area, (0.0,), area.area)


def decal_silhouette(decal: SheetDecal, palette: Palette, profile: PrintProfile) -> Silhouette:
    """What a decal keeps clear: its outline grown by half the spacing, without its holes.

    With a peel tab it is its piece of liner grown by half the gap. Decals of equal outline and
    equal freedom to turn share a key, so they nest as one.
    """
    bare = outline_area(decal)
    turns = allowed_turns(decal.decal, palette)
    taken, reach = bare.area, spacing_mm(profile) / 2.0
    if profile.peel_tab_mm > 0.0:
        taken, reach = liner_piece(bare.area, profile), profile.gap_mm / 2.0
    reach += 2.0 * _CURVE_TOLERANCE_MM
    grown = taken.buffer(reach, quad_segs=_segments(reach))
    solid = _without_holes(grown.simplify(_CURVE_TOLERANCE_MM))
    return Silhouette(f"{len(turns)} {bare.key}", solid, turns, bare.inside_mm2)


def _segments(radius_mm: float) -> int:
    """Chords to a quarter turn of a corner that leave it by no more than the tolerance."""
    share = min(_CURVE_TOLERANCE_MM / max(radius_mm, _CURVE_TOLERANCE_MM), 1.0)
    return max(math.ceil(math.pi / (4.0 * math.acos(1.0 - share))), _FEWEST_CHORDS)


def _without_holes(area: BaseGeometry) -> Area:
    """Holes filled: nothing nests inside another decal, where a cut would free both."""
    parts = [Polygon(part.exterior) for part in shapely.get_parts(area)]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)
