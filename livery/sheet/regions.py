"""A decal's ink areas as they will stand on the sheet: true size, y up, and which shows where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from livery.artwork.model import InkRegion
from livery.geometry import Affine, Area, FillRule, Path
from livery.sheet.model import SheetDecal
from livery.sheet.tally import print_frame

CURVE_TOLERANCE_MM = 0.005

Showing = tuple[tuple[str, BaseGeometry], ...]
"""What shows of each ink, by ink."""


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


def _print_region(region: InkRegion, frame: Affine) -> PrintRegion:
    path, is_text = region.path, region.text_height_mm is not None
    drawn = (path.verbs, path.points.tobytes(), path.rule)
    return _region_of(region.ink, drawn, frame, region.closed, is_text)


@lru_cache(maxsize=512)
def _region_of(
    ink: str, drawn: tuple[str, bytes, FillRule], frame: Affine, closed: bool, lettering: bool
) -> PrintRegion:
    """Kept by shape: decals share what is drawn alike in them, and words that come again."""
    verbs, points, rule = drawn
    path = Path(verbs, np.frombuffer(points), rule).transformed(frame)
    return PrintRegion(ink, path, path.polygon(CURVE_TOLERANCE_MM), closed, lettering)


def clip_region(region: PrintRegion, limit: Area) -> PrintRegion:
    """A region within a limit; its exact curves survive where it does not reach beyond."""
    if limit.covers(region.area):
        return region
    area = as_area(region.area.intersection(limit))
    return replace(region, path=Path.from_geometry(area), area=area)


@lru_cache(maxsize=8)
def showing_inks(artwork: PrintArtwork) -> tuple[tuple[str, Area], ...]:
    """What shows of each ink within the cut, after knock-outs; by ink."""
    showing: Showing = ()
    for _, ink, area in runs_of_one_ink(artwork):
        showing = lay_over(showing, ink, area)
    return tuple((ink, as_area(area.intersection(artwork.outline))) for ink, area in showing)


def runs_of_one_ink(artwork: PrintArtwork) -> list[tuple[int, str, BaseGeometry]]:
    """Neighbours of one ink in painter's order taken together, with the last one's index."""
    runs: list[tuple[int, str, list[Area]]] = []
    for index, region in enumerate(artwork.regions):
        if runs and runs[-1][1] == region.ink:
            runs[-1] = (index, region.ink, [*runs[-1][2], region.area])
        else:
            runs.append((index, region.ink, [region.area]))
    return [(index, ink, join_areas(areas)) for index, ink, areas in runs]


@lru_cache(maxsize=32)
def lay_over(showing: Showing, ink: str, area: BaseGeometry) -> Showing:
    """What shows of each ink once one more is laid over them; by ink."""
    left = {
        other: under.difference(area) if under.intersects(area) else under
        for other, under in showing
    }
    left[ink] = join_areas([left[ink], area] if ink in left else [area])
    return tuple(sorted(left.items()))


def join_areas(areas: Sequence[BaseGeometry]) -> BaseGeometry:
    """All areas as one; of one alone, itself."""
    return areas[0] if len(areas) == 1 else shapely.union_all(areas)


def as_area(geometry: BaseGeometry) -> Area:
    """The polygons of a geometry, without the lines and points that cuts leave behind."""
    parts = [p for p in shapely.get_parts(geometry) if p.geom_type == "Polygon" and p.area > 0]
    if len(parts) == 1:
        single: shapely.Polygon = parts[0]
        return single
    return shapely.MultiPolygon(parts)
