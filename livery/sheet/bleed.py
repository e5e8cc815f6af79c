"""Bleed from the artwork's own edge colours: each ink that meets the cut line runs on outwards."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from livery.geometry import Area
from livery.sheet.regions import PrintArtwork, as_area, join_areas

TOUCH_MM = 0.05
_EXACT_MM = 0.002
_MISSED_MM = 0.5
_LAP_MM = 0.3
_STEP_MM = 0.25
_LEAST_ARC_MM = 0.02
_STOCK = ""
_FAR = 10.0


def edge_inks(artwork: PrintArtwork) -> list[tuple[str, BaseGeometry]]:
    """The cut line divided by which ink shows along it.

    Args:
        artwork: a decal in its print frame.

    Returns:
        (ink, arcs) pairs in order of ink; "" where bare stock meets the cut.

    Source: an ink within 0.05 mm of the cut meets it [source: workshop-choice].
    """
    edge = artwork.outline.boundary
    left: BaseGeometry = edge
    arcs: dict[str, list[BaseGeometry]] = {}
    shapely.prepare(edge)
    for region in reversed(artwork.regions):
        if left.is_empty:
            break
        if not edge.dwithin(region.area, TOUCH_MM):
            continue
        near = _reach(region.area, left)
        taken = left.intersection(near)
        if taken.length > _LEAST_ARC_MM:
            arcs.setdefault(region.ink, []).append(taken)
            left = left.difference(near)
    if left.length > _LEAST_ARC_MM:
        arcs.setdefault(_STOCK, []).append(left)
    return [(ink, shapely.union_all(parts)) for ink, parts in sorted(arcs.items())]


def _reach(area: Area, line: BaseGeometry) -> Area:
    """A region grown just enough to meet the line: hardly at all where it ends on it exactly."""
    exact, wide = area.buffer(_EXACT_MM), area.buffer(TOUCH_MM)
    missed = line.intersection(wide).length - line.intersection(exact).length
    return exact if missed <= _MISSED_MM else wide


def extend_edges(artwork: PrintArtwork, bleed_mm: float) -> list[tuple[str, Area]]:
    """What each ink prints beyond the cut line.

    The band round the outline is divided by the nearest point of the cut line. Each part laps a
    little way under its own ink, so that no hairline of stock can show along the cut.

    Args:
        artwork: a decal in its print frame.
        bleed_mm: how far beyond the cut the ink runs.

    Returns:
        (ink, area) pairs, areas without overlap beyond the cut.

    Source: the lap of 0.3 mm [source: workshop-choice].
    """
    if bleed_mm <= 0.0:
        return []
    arcs = edge_inks(artwork)
    outer = artwork.outline.buffer(bleed_mm)
    band = outer.difference(artwork.outline)
    lap = artwork.outline.difference(artwork.outline.buffer(-_LAP_MM))
    found = []
    pieces = tuple((ink, shapely.to_wkb(arc)) for ink, arc in arcs)
    for ink, near in _nearest(pieces, shapely.to_wkb(outer)):
        regions = (r.area for r in artwork.regions if r.ink == ink)
        under = lap.intersection(join_areas([area for area in regions if area.intersects(lap)]))
        if near is not None:
            under = under.intersection(near)
        beyond = band if near is None else band.intersection(near)
        found.append((ink, as_area(shapely.union_all([beyond, under]))))
    return [(ink, area) for ink, area in found if not area.is_empty]


@lru_cache(maxsize=64)
def _nearest(
    pieces: tuple[tuple[str, bytes], ...], around: bytes
) -> list[tuple[str, BaseGeometry | None]]:
    """For each ink the part of the plane nearer to its arcs; None is everywhere.

    Kept by shape: decals that differ in their words alone share their edges.
    """
    arcs = [(ink, shapely.from_wkb(arc)) for ink, arc in pieces]
    outer = shapely.from_wkb(around)
    if len(arcs) == 1:
        return [(ink, None) for ink, _ in arcs if ink != _STOCK]
    sampled = [_sample(arc) for _, arc in arcs]
    owner = np.repeat(np.arange(len(arcs)), [len(points) for points in sampled])
    cells = _cells(np.concatenate(sampled), as_area(outer))
    return [
        (ink, shapely.coverage_union_all(cells[owner == number]))
        for number, (ink, _) in enumerate(arcs)
        if ink != _STOCK
    ]


def _cells(points: NDArray[np.float64], outer: Area) -> NDArray[np.object_]:
    """Of each point the part of the plane, far beyond an outline, that is nearest to it.

    Neighbours share their corners to the bit. By Qhull, as points along a drawing's parallels lie
    many on one circle, and GEOS's own diagram of such points has cells that overlap.
    """
    from scipy.spatial import Voronoi  # type: ignore[import-untyped] # has no types

    x0, y0, x1, y1 = outer.bounds
    reach = _FAR * max(x1 - x0, y1 - y0)
    far = np.array([(x, y) for x in (x0 - reach, x1 + reach) for y in (y0 - reach, y1 + reach)])
    diagram = Voronoi(np.concatenate([points, far]))
    regions = [diagram.regions[diagram.point_region[index]] for index in range(len(points))]
    return np.array([shapely.Polygon(diagram.vertices[region]) for region in regions], dtype=object)


def _sample(arcs: BaseGeometry) -> NDArray[np.float64]:
    """Points along arcs at even steps, none at an end, which two arcs would share."""
    merged = shapely.line_merge(arcs) if arcs.geom_type == "MultiLineString" else arcs
    points = []
    for line in shapely.get_parts(merged):
        if line.length <= 0.0 or line.geom_type != "LineString":
            continue
        count = max(1, round(line.length / _STEP_MM))
        at = (np.arange(count) + 0.5) / count
        points.append(
            shapely.get_coordinates(shapely.line_interpolate_point(line, at, normalized=True))
        )
    return np.concatenate(points) if points else np.empty((0, 2))
