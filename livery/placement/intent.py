"""The designer's intent on one size: where a placement lands before any limit is looked at."""

from __future__ import annotations

from dataclasses import dataclass

from livery.artwork.model import Decal
from livery.errors import Fault, SeasonError
from livery.geometry import Affine
from livery.kit.model import KitItem, Surface
from livery.scheme.model import Along, Hand, ItemKind, PlacementSpec, ScalesWith


@dataclass(frozen=True, slots=True, eq=False)
class Intent:
    """A placement graded to one item, with what the designer lets it do there.

    Attributes:
        surface: the surface it lands on (its mirror image's, where mirrored).
        x_mm, y_mm: of the decal's centre, in the surface's frame.
        rotation_deg: counter-clockwise as seen.
        scale: graded fraction of nominal size.
        least_scale: smallest allowed.
        slide_mm: largest allowed move along y, either way.
        mirrored: whether the artwork is reflected.
    """

    key: str
    decal: Decal
    surface: Surface
    x_mm: float
    y_mm: float
    rotation_deg: float
    scale: float
    least_scale: float
    slide_mm: float
    mirrored: bool

    @property
    def turn(self) -> Affine:
        """The decal's frame turned (and reflected) as placed, at nominal size."""
        turn = Affine.rotation(-self.rotation_deg)  # y runs down the surface
        return turn @ Affine.mirror_x() if self.mirrored else turn

    def affine(self, scale: float, slide_mm: float) -> Affine:
        """Decal frame to surface frame, at a scale and a move along y."""
        moved = Affine.translation(self.x_mm, self.y_mm + slide_mm)
        return moved @ self.turn @ Affine.scaling(scale)


def grade(spec: PlacementSpec, decal: Decal, item: KitItem, master: KitItem) -> Intent:
    """Grade a placement from the master size to an item.

    A placement that scales does so about its anchor: decal and offsets alike, so that a group
    keeps its proportions. On a bat, ``mirror_for_left`` reflects it for a left-hander; on gloves
    and pads, whose placements are stated on the right one of the pair, it reflects it on the left.

    Args:
        spec: the designer's placement.
        decal: its artwork.
        item: what it goes on.
        master: the same model in the size that the placement is stated on.

    Raises:
        SeasonError: the item has no such surface, or the surface lacks the anchor.
    """
    reflected = spec.mirror_for_left and is_left(item)
    stated = _surface(spec, master, spec.surface)
    surface = _surface(spec, item, _opposite(spec.surface) if reflected else spec.surface)
    ratio = _ratio(spec.scales_with, surface, stated)
    sign = -1.0 if reflected else 1.0
    return Intent(
        key=spec.key,
        decal=decal,
        surface=surface,
        x_mm=sign * spec.x_mm * ratio,
        y_mm=_anchored(spec, surface, spec.y_mm * ratio),
        rotation_deg=sign * spec.rotation_deg,
        scale=ratio,
        least_scale=ratio * spec.may_shrink_to,
        slide_mm=spec.may_slide_mm,
        mirrored=reflected and decal.may_mirror,
    )


def is_left(item: KitItem) -> bool:
    """Whether an item is the mirror image of the one that placements are stated on."""
    return item.hand is Hand.LEFT if item.kind is ItemKind.BAT else item.side == "left"


def _surface(spec: PlacementSpec, item: KitItem, key: str) -> Surface:
    try:
        return item.surface(key)
    except KeyError:
        known = ", ".join(surface.key for surface in item.surfaces)
        found = f"{item.name}, {item.size}, has no surface {key!r}"
        fault = Fault("season", f"placements.{spec.key}", None, found, f"Surfaces: {known}")
        raise SeasonError(fault) from None


def _opposite(surface: str) -> str:
    """The surface that a reflection takes a surface to."""
    for one, other in (("-left", "-right"), ("-right", "-left")):
        if surface.endswith(one):
            return surface.removesuffix(one) + other
    return surface


def _ratio(scales_with: ScalesWith, surface: Surface, stated: Surface) -> float:
    x0, y0, x1, y1 = surface.outline.bounds
    u0, v0, u1, v1 = stated.outline.bounds
    if scales_with is ScalesWith.WIDTH:
        return float((x1 - x0) / (u1 - u0))
    if scales_with is ScalesWith.LENGTH:
        return float((y1 - y0) / (v1 - v0))
    return 1.0


def _anchored(spec: PlacementSpec, surface: Surface, offset_mm: float) -> float:
    if spec.along is Along.DATUM:
        return surface.datums[0].y_mm + offset_mm if surface.datums else offset_mm
    try:
        anchor = surface.datum(str(spec.along)).y_mm
    except KeyError:
        found = f"surface {surface.key!r} has no {spec.along} to measure from"
        known = ", ".join(datum.name for datum in surface.datums)
        fault = Fault("season", f"placements.{spec.key}.along", None, found, f"It has: {known}")
        raise SeasonError(fault) from None
    return anchor - offset_mm if spec.along is Along.TOE else anchor + offset_mm
