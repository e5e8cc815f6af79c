"""Trap: where two inks abut, the lighter runs a little way under the darker's edge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from livery.geometry import Area
from livery.sheet.regions import (
    PrintArtwork,
    Showing,
    as_area,
    lay_over,
    runs_of_one_ink,
)

_TOUCH_MM = 0.02
_LEAST_EDGE_MM = 0.1
_AROUND_MM = 1.0
_LAP_MM = 0.02


@dataclass(frozen=True, slots=True, eq=False)
class Trap:
    """An overprinting sliver of one ink inside another's edge.

    Attributes:
        ink: the lighter, which runs under the edge of ``under``.
        after: index of the region after which it is painted.
    """

    ink: str
    under: str
    after: int
    area: Area


def spread_edges(
    artwork: PrintArtwork, lightness: Mapping[str, float], trap_mm: float
) -> list[Trap]:
    """Traps of a decal, in painter's order.

    Each also laps a hair over its own ink, so that no rounding can leave stock between the two.

    Args:
        artwork: a decal in its print frame.
        lightness: L* of each ink.
        trap_mm: how far the lighter ink runs into the darker.

    Source: lighter into darker [source: common-practice]; a lap of 0.02 mm
    [source: workshop-choice].
    """
    if trap_mm <= 0.0:
        return []
    traps: list[Trap] = []
    rim = artwork.outline.boundary.buffer(_TOUCH_MM)
    showing: Showing = ()
    for index, ink, area in runs_of_one_ink(artwork):
        near = _around(area, showing, ink)
        found = _spread_run(ink, area, near, rim, tuple(lightness.items()), trap_mm)
        traps += [Trap(lighter, darker, index, spread) for lighter, darker, spread in found]
        showing = lay_over(showing, ink, area)
    return traps


def _around(area: BaseGeometry, showing: Showing, ink: str) -> Showing:
    """What shows of other inks beneath an area and close about it."""
    x0, y0, x1, y1 = area.bounds
    box = (x0 - _AROUND_MM, y0 - _AROUND_MM, x1 + _AROUND_MM, y1 + _AROUND_MM)
    clipped = ((other, shapely.clip_by_rect(under, *box)) for other, under in showing)
    return tuple((other, near) for other, near in clipped if other != ink and not near.is_empty)


@lru_cache(maxsize=64)
def _spread_run(
    ink: str,
    area: BaseGeometry,
    around: Showing,
    rim: BaseGeometry,
    lightness: tuple[tuple[str, float], ...],
    trap_mm: float,
) -> tuple[tuple[str, str, Area], ...]:
    """The lighter, the darker and their trap, for one ink and each that shows around it.

    Kept by shape: decals share what is alike in them, beneath their words and in these.
    """
    found = []
    light = dict(lightness)
    for other, near in around:
        seam = area.boundary.intersection(near.buffer(_TOUCH_MM, quad_segs=1)).difference(rim)
        if seam.length < _LEAST_EDGE_MM:
            continue
        beneath = near.difference(area)
        lighter_on_top = light[ink] >= light[other]
        room, own = (beneath, area) if lighter_on_top else (area, beneath)
        spread = as_area(_spread(seam, trap_mm, room, own))
        if not spread.is_empty:
            found.append((ink, other, spread) if lighter_on_top else (other, ink, spread))
    return tuple(found)


def _spread(
    seam: BaseGeometry, trap_mm: float, room: BaseGeometry, own: BaseGeometry
) -> BaseGeometry:
    """What lies within the trap's reach of a seam in the other ink, and its lap over its own."""
    reach = seam.buffer(trap_mm, quad_segs=4).intersection(room)
    lap = seam.buffer(min(_LAP_MM, trap_mm), quad_segs=2).intersection(own)
    return reach.union(lap)
