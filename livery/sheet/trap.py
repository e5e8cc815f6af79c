"""Trap: where two inks abut, the lighter runs a little way under the darker's edge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from livery.sheet.raster import Area
from livery.sheet.regions import PrintArtwork, as_area

_TOUCH_MM = 0.02
_LEAST_EDGE_MM = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class Trap:
    """An overprinting sliver of one ink inside another's edge.

    Attributes:
        after: index of the region after which it is painted.
    """

    ink: str
    after: int
    area: Area


def spread_edges(
    artwork: PrintArtwork, lightness: Mapping[str, float], trap_mm: float
) -> list[Trap]:
    """Traps of a decal, in painter's order.

    Args:
        artwork: a decal in its print frame.
        lightness: L* of each ink.
        trap_mm: how far the lighter ink runs into the darker.

    Source: lighter into darker [source: common-practice].
    """
    if trap_mm <= 0.0:
        return []
    traps: list[Trap] = []
    showing: dict[str, BaseGeometry] = {}
    for index, region in enumerate(artwork.regions):
        edge = region.area.boundary
        for ink, under in sorted(showing.items()):
            if ink == region.ink or under.is_empty:
                continue
            seam = edge.intersection(under.buffer(_TOUCH_MM))
            seam = seam.difference(artwork.outline.boundary.buffer(_TOUCH_MM))
            if seam.length < _LEAST_EDGE_MM:
                continue
            lighter_on_top = lightness[region.ink] >= lightness[ink]
            room = under.difference(region.area) if lighter_on_top else region.area
            spread = as_area(seam.buffer(trap_mm).intersection(room))
            if not spread.is_empty:
                traps.append(Trap(region.ink if lighter_on_top else ink, index, spread))
        showing = {ink: area.difference(region.area) for ink, area in showing.items()}
        showing[region.ink] = showing.get(region.ink, shapely.Polygon()).union(region.area)
    return traps
