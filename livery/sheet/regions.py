"""A decal's ink areas as they will stand on the sheet: true size, y up, and which shows where."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from livery.artwork.model import InkRegion
from livery.geometry import Affine, Path
from livery.sheet.model import SheetDecal
from livery.sheet.raster import Area
from livery.sheet.tally import print_frame

CURVE_TOLERANCE_MM = 0.005


@dataclass(frozen=True, slots=True, eq=False)
class PrintRegion:
    """One ink region in the print frame.

    Attributes:
        path: exact curves.
        area: the same, flattened.
        closed: false where the artwork's file leaves the path open.
        lettering: whether it is set text.
    """

    ink: str
    path: Path
    area: Area
    closed: bool = True
    lettering: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class PrintArtwork:
    """A decal in the print frame, mm.

    Attributes:
        cut: the cut line's exact curves; ``outline`` the area within.
        regions: in painter's order; later ones knock out earlier ones.
    """

    cut: Path
    outline: Area
    regions: tuple[PrintRegion, ...]


@lru_cache(maxsize=64)
def print_artwork(decal: SheetDecal) -> PrintArtwork:
    """Bring a decal to its print frame, once however often it is asked."""
    frame = print_frame(decal)
    cut = decal.decal.outline.transformed(frame)
    regions = tuple(_print_region(region, frame) for region in decal.decal.regions)
    return PrintArtwork(cut, cut.polygon(CURVE_TOLERANCE_MM), regions)


@lru_cache(maxsize=1024)
def _print_region(region: InkRegion, frame: Affine) -> PrintRegion:
    """Decals that differ in their words alone share the rest."""
    path = region.path.transformed(frame)
    area, is_text = path.polygon(CURVE_TOLERANCE_MM), region.text_height_mm is not None
    return PrintRegion(region.ink, path, area, region.closed, is_text)


def clip_region(region: PrintRegion, limit: Area) -> PrintRegion:
    """A region within a limit; its exact curves survive where it does not reach beyond."""
    if limit.covers(region.area):
        return region
    area = as_area(region.area.intersection(limit))
    return replace(region, path=Path.from_geometry(area), area=area)


@lru_cache(maxsize=8)
def showing_inks(artwork: PrintArtwork) -> tuple[tuple[str, Area], ...]:
    """What shows of each ink within the cut, after knock-outs; inks in order of first use."""
    showing: dict[str, list[BaseGeometry]] = {region.ink: [] for region in artwork.regions}
    above: BaseGeometry = shapely.Polygon()
    for region in reversed(artwork.regions):
        inside = region.area.intersection(artwork.outline)
        showing[region.ink].append(inside.difference(above))
        above = above.union(inside)
    return tuple((ink, as_area(shapely.union_all(parts))) for ink, parts in showing.items())


def as_area(geometry: BaseGeometry) -> Area:
    """The polygons of a geometry, without the lines and points that cuts leave behind."""
    parts = [p for p in shapely.get_parts(geometry) if p.geom_type == "Polygon" and p.area > 0]
    if len(parts) == 1:
        single: shapely.Polygon = parts[0]
        return single
    return shapely.MultiPolygon(parts)
