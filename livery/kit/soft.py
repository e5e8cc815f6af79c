"""Gloves and pads: pairs of soft kit cut in panels.

A glove is seen from the back of the hand with the fingers up, a pad from the front with the knee
up; in each surface's own frame x runs right, y down (towards cuff or instep), and the origin is
the middle of the surface. The right one of a pair is the left one's mirror image; artwork on it
is not mirrored. A surface's ``wing`` is the outer wing. Rolls are laid flat at true length, so
they are taller in their own frame than in a picture of the pad.
"""

from __future__ import annotations

import math

from shapely.geometry import MultiPolygon

from livery.errors import Fault, InputError
from livery.geometry import Affine, areal
from livery.kit.model import Datum, KitItem, PanelShape, Surface, Zone
from livery.kit.proportions import Cut, Part, read_cut
from livery.scheme.model import Hand, ItemKind, SoftKit
from livery.scheme.sizes import soft_sizes

_MIRROR = Affine.mirror_x()
_FLAT_MM = 0.001  # curves laid flat: far below what a cutter can follow


def build_gloves(soft: SoftKit, size: str, hand: Hand) -> tuple[KitItem, KitItem]:
    """A pair of gloves, left then right, in the middle of the size's range.

    Args:
        soft: the season's gloves.
        size: one of its sizes.
        hand: the batter's; a right-hander's right hand is the lower one on the handle.

    Raises:
        InputError: these are no gloves, or no such size.
    """
    return _build_pair(soft, ItemKind.GLOVE, size, hand)


def build_pads(soft: SoftKit, size: str, hand: Hand) -> tuple[KitItem, KitItem]:
    """A pair of pads, left leg then right leg, in the middle of the size's range.

    Args:
        soft: the season's pads.
        size: one of its sizes.
        hand: the batter's.

    Raises:
        InputError: these are no pads, or no such size.
    """
    return _build_pair(soft, ItemKind.PAD, size, hand)


def _build_pair(soft: SoftKit, kind: ItemKind, size: str, hand: Hand) -> tuple[KitItem, KitItem]:
    length = _length_of(soft, kind, size)
    cut = read_cut(kind)
    left, right = (_build_one(soft, size, hand, side, cut, length) for side in ("left", "right"))
    return left, right


def _length_of(soft: SoftKit, kind: ItemKind, size: str) -> float:
    if soft.kind is not kind:
        found = f"it is a {soft.kind}, not a {kind}"
        raise InputError(Fault("season", soft.key, None, found, f"Name a {kind}."))
    table = soft_sizes(kind)
    if size not in soft.sizes or size not in table:
        known = ", ".join(key for key in soft.sizes if key in table)
        found = f"size {size!r} unknown"
        raise InputError(Fault("season", soft.key, None, found, f"Use one of {known}."))
    row = table[size]
    return (row.low_mm + row.high_mm) / 2


def _build_one(soft: SoftKit, size: str, hand: Hand, side: str, cut: Cut, length: float) -> KitItem:
    # The lower hand on the handle is the batter's own: the right for a right-hander.
    lower = side == hand.value
    scale = length / cut.length_mm
    parts = [part for part in cut.parts if lower or part.only_on != "bottom"]
    surfaces = tuple(
        _surface(part, scale, cut.seam_mm, mirrored=side == "right")
        for part in parts
        if part.surface
    )
    panels = tuple(_panel(part, soft, cut, scale, mirrored=side == "right") for part in parts)
    return KitItem(soft.key, soft.name, soft.kind, size, hand, side, surfaces, None, panels)


def _surface(part: Part, scale: float, seam_mm: float, *, mirrored: bool) -> Surface:
    laid = part.outline.transformed(_part_to_surface(part, scale, mirrored=mirrored))
    outline = laid.polygon(_FLAT_MM)
    if isinstance(outline, MultiPolygon):
        raise ValueError(f"part {part.name!r} is cut in pieces")
    _, top, _, end = outline.bounds
    inside = outline.buffer(-seam_mm)
    zones = (
        Zone("seam", areal(outline.difference(inside)), False, "kept clear for stitching"),
        Zone("panel", areal(inside), True),
    )
    datums = (Datum("centre", 0.0), Datum("middle", (top + end) / 2), Datum("toe", end))
    name = part.name[0].upper() + part.name[1:]
    return Surface(part.surface, name, outline, outline.area, datums, zones)


def _panel(part: Part, soft: SoftKit, cut: Cut, scale: float, *, mirrored: bool) -> PanelShape:
    to_item = Affine.scaling(scale) @ part.affine
    if mirrored:
        to_item = _MIRROR @ to_item
    outline = part.outline.transformed(to_item)
    affine = None
    if part.surface:
        affine = to_item @ _part_to_surface(part, scale, mirrored=mirrored).inverse()
    ink, material = _dress(part.panel, soft, cut)
    return PanelShape(part.name, part.panel, ink, material, outline, part.surface, affine)


def _part_to_surface(part: Part, scale: float, *, mirrored: bool) -> Affine:
    """A part's frame to its surface's: centred, sized, laid flat, seen as on its own side."""
    x0, y0, x1, y1 = part.outline.bounds()
    centre = Affine.translation(-(x0 + x1) / 2, -(y0 + y1) / 2)
    flat = Affine.scaling(scale, scale * _stretch(part, y1 - y0))
    return _MIRROR @ flat @ centre if mirrored else flat @ centre


def _stretch(part: Part, height_mm: float) -> float:
    """Arc over chord of a roll that stands out by its bulge: a circular segment.

    Source:
        [source: surface-integration]
    """
    if part.bulge_mm <= 0.0:
        return 1.0
    half = height_mm / 2
    radius = (half**2 + part.bulge_mm**2) / (2 * part.bulge_mm)
    angle = 2 * math.atan2(part.bulge_mm, half)
    return radius * angle / half


def _dress(panel: str, soft: SoftKit, cut: Cut) -> tuple[str, str]:
    """Ink and material of a panel, or of the panel it follows."""
    given = {row.panel: row for row in soft.panels}
    while panel and panel not in given:
        panel = cut.panels.get(panel, "")
    return (given[panel].ink, given[panel].material) if panel else ("", "")
