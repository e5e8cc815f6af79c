"""Bleed from the artwork's own edge colours: each ink that meets the cut line runs on outwards."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from livery.sheet.raster import Area
from livery.sheet.regions import PrintArtwork, as_area

TOUCH_MM = 0.05
_EXACT_MM = 0.002
_MISSED_MM = 0.5
_LAP_MM = 0.3
_STEP_MM = 0.25
_LEAST_ARC_MM = 0.02
_STOCK = ""
_GRID_MM = 1e-6
_AROUND_MM = 5.0
_ANGLES_DEG = (17.3, 41.9, 66.1, 5.7, 83.3)


def edge_inks(artwork: PrintArtwork) -> list[tuple[str, BaseGeometry]]:
    """The cut line divided by which ink shows along it.

    Args:
        artwork: a decal in its print frame.

    Returns:
        (ink, arcs) pairs in order of ink; "" where bare stock meets the cut.

    Source: an ink within 0.05 mm of the cut meets it [source: workshop-choice].
    """
    left: BaseGeometry = artwork.outline.boundary
    arcs: dict[str, list[BaseGeometry]] = {}
    for region in reversed(artwork.regions):
        if left.is_empty:
            break
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
        own = shapely.union_all([r.area for r in artwork.regions if r.ink == ink])
        beyond = band if near is None else band.intersection(near)
        under = lap.intersection(own) if near is None else lap.intersection(own).intersection(near)
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
    points, owners = [], []
    for number, (_, arc) in enumerate(arcs):
        sampled = _sample(arc)
        points.append(sampled)
        owners.append(np.full(len(sampled), number))
    owner = np.concatenate(owners)
    cells, site_of, cell_of = _cells(np.concatenate(points), as_area(outer))
    result: list[tuple[str, BaseGeometry | None]] = []
    for number, (ink, _) in enumerate(arcs):
        mine = np.unique(cell_of[owner[site_of] == number])
        if ink != _STOCK:
            result.append((ink, shapely.union_all(cells[mine], grid_size=_GRID_MM)))
    return result


def _cells(
    points: NDArray[np.float64], outer: Area
) -> tuple[NDArray[np.object_], NDArray[np.intp], NDArray[np.intp]]:
    """Nearest-point cells round an outline, with pairs of point and cell.

    Evenly spaced points on straight lines can lose a cell to rounding; turned by an odd angle
    they rarely do, so angles are tried until every point has its cell.
    """
    centre = outer.centroid
    for angle in _ANGLES_DEG:
        turned = shapely.affinity.rotate(shapely.MultiPoint(points), angle, origin=centre)
        around = shapely.affinity.rotate(outer, angle, origin=centre).buffer(_AROUND_MM)
        cells = shapely.get_parts(shapely.voronoi_polygons(turned, extend_to=around))
        sites = shapely.get_parts(turned)
        site_of, cell_of = shapely.STRtree(cells).query(sites, predicate="within")
        if len(np.unique(site_of)) == len(sites):
            break
    back = [shapely.affinity.rotate(cell, -angle, origin=centre) for cell in cells]
    return np.array(back, dtype=object), site_of, cell_of


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
