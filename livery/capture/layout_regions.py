"""Regions to measure, by name, from a layout: where each ink of each decal and panel is seen."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Point, Polygon
from shapely.geometry.base import BaseGeometry

from livery.artwork.cutting import cut_regions
from livery.capture.model import Region
from livery.geometry import Affine
from livery.kit.model import KitItem
from livery.placement import Layout

# How far a print stands off its cut, on sheets and on rolls. [source: print-to-cut]
SHEET_PRINT_TO_CUT_MM, ROLL_PRINT_TO_CUT_MM = 0.5, 1.0
BLUR_MM = 0.3  # further off an edge, for the camera's blur [source: workshop-choice]
_CHORD_MM = 0.05  # curves become chords this close [source: workshop-choice]
_LEAST_RADIUS_MM = 0.8  # a region less wide holds too few pixels [source: workshop-choice]
# Of a part in which a circle is sought, mm², and how near to the largest it is, mm.
# [source: workshop-choice]
_LEAST_AREA_MM2, _CIRCLE_WITHIN_MM = 1.0, 0.1
_WILLOW, _FILM = "willow", "film"


@dataclass(frozen=True, slots=True, eq=False)
class InkArea:
    """One area of one ink, in the frame of the surface, or of a whole glove or pad.

    Attributes:
        part: key of the decal's placement, or name of the panel; "" for bare wood.
        ink: "" where no ink of the season covers it: wood, bare panels, a decal's own film.
        area: mm.
        material: what it is made of, or printed on.
        is_decal: false for panels and bare wood.
    """

    part: str
    ink: str
    area: BaseGeometry
    material: str
    is_decal: bool


def layout_regions(
    layout: Layout, surface: str, frame: Affine, *, erosion_mm: float
) -> tuple[Region, ...]:
    """One region to measure for each ink of each decal or panel, where that ink is seen.

    Args:
        layout: the item with its decals where they are, or should be.
        surface: a bat's surface; "" for a whole glove or pad.
        frame: the surface's frame (the whole item's, where ``surface`` is "") to the target's, mm.
        erosion_mm: drawn in from every edge: how far print may stand off its cut, and blur.

    Returns:
        Regions named ``<placement> <ink>`` of the item's key, in painter's order, in the target's
        mm, each with what it is printed on or made of, so that pairs of one material may share the
        camera's misfit. Of each ink the largest part that is left; inks too thin to be measured
        have none.

    Raises:
        KeyError: the item has no such surface.
    """
    areas = list(ink_areas(layout, surface))
    seen: dict[tuple[str, str, str], list[BaseGeometry]] = {}
    for area, part in zip(areas, seen_parts([one.area for one in areas]), strict=True):
        if area.ink:
            seen.setdefault((area.part, area.ink, area.material), []).append(part)
    regions = []
    for (name, ink, material), pieces in seen.items():
        kept = _measurable(shapely.unary_union(pieces), erosion_mm)
        if kept is not None:
            polygon = frame.apply(np.asarray(kept.exterior.coords, np.float64)[:-1])
            key = layout.item.key
            regions.append(Region(f"{name} {ink}", ink, key, polygon, material=material))
    return tuple(regions)


def ink_areas(layout: Layout, surface: str) -> Iterator[InkArea]:
    """Everything on a surface, or on a whole glove or pad, in painter's order.

    Args:
        layout: the item with its decals.
        surface: a bat's surface; "" for a whole glove or pad.

    Raises:
        KeyError: the item has no such surface.
    """
    item = layout.item
    if surface:
        yield InkArea("", "", item.surface(surface).outline, _WILLOW, False)
    else:
        for panel in item.panels:
            outline = panel.outline.polygon()
            yield InkArea(panel.name, panel.ink, outline, panel.material, False)
    for placement in layout.placements:
        to_frame = _to_frame(item, placement.surface, surface)
        if to_frame is not None:
            place = to_frame @ placement.affine
            film = placement.decal.outline.transformed(place).polygon(_CHORD_MM)
            yield InkArea(placement.key, "", film, _FILM, True)
            for region in cut_regions(placement.decal):
                area = region.path.transformed(place).polygon(_CHORD_MM)
                yield InkArea(placement.key, region.ink, area, _FILM, True)


def seen_parts(areas: Sequence[BaseGeometry]) -> list[BaseGeometry]:
    """What later areas leave of each earlier one."""
    tree = shapely.STRtree(list(areas))
    parts = []
    for index, area in enumerate(areas):
        above = sorted(int(n) for n in tree.query(area, predicate="intersects") if n > index)
        hidden = shapely.unary_union([areas[n] for n in above])
        parts.append(area.difference(hidden) if above else area)
    return parts


def largest_circle(area: BaseGeometry) -> tuple[float, Point]:
    """Radius, mm, and centre of the largest circle in the largest part; 0 where there is none."""
    parts = _polygons(area, least_mm2=_LEAST_AREA_MM2)
    if not parts:
        return 0.0, Point(0.0, 0.0)
    line = shapely.maximum_inscribed_circle(parts[0], tolerance=_CIRCLE_WITHIN_MM)
    return float(line.length), Point(line.coords[0])


def _polygons(*areas: BaseGeometry, least_mm2: float = 0.0) -> list[Polygon]:
    """The polygons among the parts of areas that are larger than so much, the largest first."""
    parts = [part for area in areas for part in shapely.get_parts(area)]
    found = [part for part in parts if isinstance(part, Polygon) and part.area > least_mm2]
    return sorted(found, key=lambda part: -float(part.area))


def _to_frame(item: KitItem, placed_on: str, surface: str) -> Affine | None:
    """From a placement's surface to the frame asked for; None where it is not seen there."""
    if surface:
        return Affine() if placed_on == surface else None
    return next((p.affine for p in item.panels if p.surface == placed_on), None)


def _measurable(area: BaseGeometry, erosion_mm: float) -> Polygon | None:
    """The largest part without holes, drawn in from its edges; None where it is too thin."""
    kept = _polygons(area.buffer(-erosion_mm))
    if not kept:
        return None
    whole = _without_holes(kept[0])
    return whole if largest_circle(whole)[0] >= _LEAST_RADIUS_MM else None


def _without_holes(part: Polygon) -> Polygon:
    """Cut through each hole, across and along, and keep the largest piece."""
    while part.interiors:
        x, y = Polygon(part.interiors[0]).representative_point().coords[0]
        x0, y0, x1, y1 = part.bounds
        sides = ((x0, y0, x, y1), (x, y0, x1, y1), (x0, y0, x1, y), (x0, y, x1, y1))
        part = _polygons(*(part.intersection(shapely.box(*side)) for side in sides))[0]
    return part
