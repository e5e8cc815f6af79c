"""What of a decal's inks is left once it is cut: ink beyond the cut line is bleed, or lost."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from livery.artwork.model import Decal, InkRegion
from livery.geometry import Path

_NEAR_MM = 0.02  # twice what curves laid flat may be off [source: workshop-choice]


@lru_cache(maxsize=512)
def cut_regions(decal: Decal) -> tuple[InkRegion, ...]:
    """A decal's regions as they stand on the bat, in painter's order.

    Those that keep within the cut line stay as exactly as they were drawn; of the others what is
    inside is left, curves laid flat; one wholly outside is left out.
    """
    inside = decal.outline.polygon()
    near = inside.buffer(_NEAR_MM)
    shapely.prepare(near)
    cut = (_cut(region, decal.outline, inside, near) for region in decal.regions)
    return tuple(region for region in cut if region is not None)


def _cut(
    region: InkRegion, outline: Path, inside: BaseGeometry, near: BaseGeometry
) -> InkRegion | None:
    path = region.path
    if not len(path.points):
        return None
    box = shapely.box(*path.points.min(axis=0), *path.points.max(axis=0))
    if _same(path, outline) or near.covers(box):
        return region
    area = path.polygon()
    if near.covers(area):
        return region
    left = [part for part in shapely.get_parts(area.intersection(inside)) if part.area > 0.0]
    return replace(region, path=Path.from_geometry(shapely.MultiPolygon(left))) if left else None


def _same(one: Path, other: Path) -> bool:
    return one.verbs == other.verbs and np.array_equal(one.points, other.points)
