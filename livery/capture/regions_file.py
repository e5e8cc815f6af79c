"""``regions.toml``: read with every fault at once, written whole."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import numpy as np
import shapely
from pydantic import Field

from livery.capture.model import Region
from livery.capture.target_file import read_table, toml_text
from livery.colour import Floats
from livery.errors import Fault, TargetError
from livery.scheme.fields import Name, Table, quote
from livery.scheme.reading import Document
from livery.writing import write_whole

_MOST = 5000  # of regions, and of corners of a polygon [source: workshop-choice]
_FARTHEST = 1e6  # mm or px from the frame's origin [source: workshop-choice]
_LEAST_AREA = 1e-9  # mm² or px² of a polygon, for rounding [source: workshop-choice]

_Place = Annotated[float, Field(ge=-_FARTHEST, le=_FARTHEST)]
_Point = Annotated[list[_Place], Field(min_length=2, max_length=2)]
_Polygon = Annotated[list[_Point], Field(min_length=3, max_length=_MOST)]


class _RegionTable(Table):
    name: Name
    ink: Name
    item: Name
    polygon_mm: _Polygon | None = None
    polygon_px: _Polygon | None = None
    material: str = ""


class _RegionsTable(Table):
    regions: Annotated[list[_RegionTable], Field(min_length=1, max_length=_MOST)]


def read_regions(path: Path) -> tuple[Region, ...]:
    """Read a ``regions.toml``.

    Args:
        path: the file; each region's polygon is in the target's mm or in the photograph's px.

    Raises:
        TargetError: every fault of the file at once, each with its place and line.
    """
    document, table = read_table(path, _RegionsTable)
    faults: list[Fault] = []
    names: set[tuple[str, str]] = set()
    for index, region in enumerate(table.regions):
        faults += _region_faults(document, index, region)
        if (region.item, region.name) in names:
            mend = "Give each region of an item its own name"
            found = f"{quote(region.name)} is given twice"
            faults.append(document.fault(("regions", index, "name"), found, mend))
        names.add((region.item, region.name))
    if faults:
        raise TargetError(*faults)
    return tuple(
        Region(r.name, r.ink, r.item, _points(r.polygon_mm), _points(r.polygon_px), r.material)
        for r in table.regions
    )


def write_regions(regions: Sequence[Region], path: Path) -> None:
    """Write regions as ``regions.toml``, to 0.01 mm or px.

    Raises:
        OutputError: the place cannot be written.
    """
    lines = [
        "# What to sample in a photograph. A polygon's corners are in the target's mm: origin at",
        "# its top-left corner, x right, y down, beyond its edges too. polygon_px takes the",
        "# photograph's px instead. Keep clear of edges.",
    ]
    for region in regions:
        texts = {"name": region.name, "ink": region.ink, "item": region.item}
        lines += ["", "[[regions]]", *(f"{key} = {toml_text(text)}" for key, text in texts.items())]
        if region.material:
            lines += [f"material = {toml_text(region.material)}"]
        for key in ("polygon_mm", "polygon_px"):
            polygon = getattr(region, key)
            if polygon is not None:
                corners = ", ".join(f"[{x:.2f}, {y:.2f}]" for x, y in polygon)
                lines += [f"{key} = [{corners}]"]
    write_whole(path, "\n".join(lines) + "\n")


def _region_faults(document: Document, index: int, region: _RegionTable) -> list[Fault]:
    place = ("regions", index)
    polygons = [p for p in (region.polygon_mm, region.polygon_px) if p is not None]
    if len(polygons) != 1:
        given = "both" if polygons else "neither"
        found = f"{given} of polygon_mm and polygon_px is given"
        return [document.fault(place, found, "Give one of the two")]
    if shapely.Polygon(polygons[0]).area < _LEAST_AREA:
        key = "polygon_mm" if region.polygon_mm is not None else "polygon_px"
        found = "the polygon has no area"
        return [document.fault((*place, key), found, "Give corners in order round the region")]
    return []


def _points(polygon: list[list[float]] | None) -> Floats | None:
    return None if polygon is None else np.asarray(polygon, dtype=np.float64)
