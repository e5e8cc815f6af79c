"""``target.toml`` and ``regions.toml``: read with every fault at once, written whole."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Annotated, TypeVar

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, ValidationError

from livery.capture.model import Marker, Patch, Region, Target
from livery.errors import Fault, SeasonError, TargetError
from livery.scheme.faults import MOST_EXPLAINED, list_faults
from livery.scheme.fields import Length, Name, PositiveLength, Table, quote
from livery.scheme.reading import Document, read_document
from livery.writing import write_whole

_MOST = 5000  # of markers, patches, regions, corners of a polygon [source: workshop-choice]
_FARTHEST = 1e6  # mm or px from the frame's origin [source: workshop-choice]
_PUNCTUATION = re.compile("[^A-Z0-9]")
_T = TypeVar("_T", bound=Table)


class _MarkerTable(Table):
    dictionary: Name
    id: Annotated[int, Field(ge=0)]
    x_mm: Length
    y_mm: Length
    size_mm: PositiveLength


class _PatchTable(Table):
    name: Name
    x_mm: Length
    y_mm: Length
    w_mm: PositiveLength
    h_mm: PositiveLength
    lab: Annotated[list[float], Field(min_length=3, max_length=3)]
    measured: bool


class _TargetTable(Table):
    id: Name = ""
    width_mm: PositiveLength
    height_mm: PositiveLength
    markers: Annotated[list[_MarkerTable], Field(max_length=_MOST)] = Field(default_factory=list)
    patches: Annotated[list[_PatchTable], Field(min_length=1, max_length=_MOST)]


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


def read_target(path: Path) -> Target:
    """Read a ``target.toml``.

    Args:
        path: the file; a target without an ``id`` takes the file's name.

    Raises:
        TargetError: every fault of the file at once, each with its place and line.
    """
    document = _open(path)
    table = _validate(document, _TargetTable)
    faults = [*_marker_faults(document, table), *_patch_faults(document, table)]
    if faults:
        raise TargetError(*faults)
    markers = tuple(
        Marker(spell_dictionary(m.dictionary) or m.dictionary, m.id, m.x_mm, m.y_mm, m.size_mm)
        for m in table.markers
    )
    patches = tuple(
        Patch(p.name, p.x_mm, p.y_mm, p.w_mm, p.h_mm, (p.lab[0], p.lab[1], p.lab[2]), p.measured)
        for p in table.patches
    )
    return Target(table.id or path.stem, table.width_mm, table.height_mm, markers, patches)


def read_regions(path: Path) -> tuple[Region, ...]:
    """Read a ``regions.toml``.

    Raises:
        TargetError: every fault of the file at once, each with its place and line.
    """
    document = _open(path)
    table = _validate(document, _RegionsTable)
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
        lines += ["", "[[regions]]", f"name = {_text(region.name)}", f"ink = {_text(region.ink)}"]
        lines += [f"item = {_text(region.item)}"]
        if region.material:
            lines += [f"material = {_text(region.material)}"]
        for key in ("polygon_mm", "polygon_px"):
            polygon = getattr(region, key)
            if polygon is not None:
                corners = ", ".join(f"[{x:.2f}, {y:.2f}]" for x, y in polygon)
                lines += [f"{key} = [{corners}]"]
    write_whole(path, "\n".join(lines) + "\n")


def write_target(target: Target, path: Path) -> None:
    """Write a target as ``target.toml``, every number exactly as held.

    Raises:
        OutputError: the place cannot be written.
    """
    lines = [
        f"id = {_text(target.key)}",
        f"width_mm = {target.width_mm!r}",
        f"height_mm = {target.height_mm!r}",
        "# Origin top-left, y down. A patch is nominal until measured = true.",
    ]
    for marker in target.markers:
        lines += ["", "[[markers]]", f"dictionary = {_text(marker.dictionary)}"]
        lines += [f"id = {marker.id}", f"x_mm = {marker.x_mm!r}", f"y_mm = {marker.y_mm!r}"]
        lines += [f"size_mm = {marker.size_mm!r}"]
    for patch in target.patches:
        lines += ["", "[[patches]]", f"name = {_text(patch.name)}"]
        lines += [f"x_mm = {patch.x_mm!r}", f"y_mm = {patch.y_mm!r}"]
        lines += [f"w_mm = {patch.w_mm!r}", f"h_mm = {patch.h_mm!r}"]
        lines += [f"lab = [{', '.join(repr(float(value)) for value in patch.lab)}]"]
        lines += [f"measured = {'true' if patch.measured else 'false'}"]
    write_whole(path, "\n".join(lines) + "\n")


def spell_dictionary(name: str) -> str | None:
    """A marker dictionary's name as OpenCV spells it, or None.

    Case, dashes and the prefix ``DICT_`` are free, and a ``tag36h11`` is an ``APRILTAG_36h11``.
    """
    plain = _PUNCTUATION.sub("", name.upper()).removeprefix("DICT").removeprefix("ARUCO")
    known = _dictionaries()
    return known.get(plain) or known.get("APRIL" + plain) or known.get("ARUCO" + plain)


@cache
def _dictionaries() -> dict[str, str]:
    """OpenCV's names by their bare letters; of two spellings the later, ``36h11``, stays."""
    import cv2

    names = sorted(name for name in dir(cv2.aruco) if name.startswith("DICT_"))
    return {_PUNCTUATION.sub("", name.upper()).removeprefix("DICT"): name for name in names}


def _text(value: str) -> str:
    """A basic TOML string; JSON's escapes are a subset of TOML's but for DEL."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _open(path: Path) -> Document:
    try:
        return read_document(path)
    except SeasonError as error:
        raise TargetError(*error.faults) from error


def _validate(document: Document, model: type[_T]) -> _T:
    try:
        return model.model_validate(document.data)
    except ValidationError as error:
        raise TargetError(*list_faults(document, model, error)) from error


def _marker_faults(document: Document, table: _TargetTable) -> list[Fault]:
    import cv2

    faults: list[Fault] = []
    seen: set[tuple[str, int]] = set()
    for index, marker in enumerate(table.markers):
        if len(faults) >= MOST_EXPLAINED:
            break
        place = ("markers", index)
        dictionary = spell_dictionary(marker.dictionary)
        if dictionary is None:
            known = sorted(set(_dictionaries().values()))
            found = f"{quote(marker.dictionary)} is no marker dictionary"
            near = difflib.get_close_matches(marker.dictionary.upper(), known, 1)
            hint = f"Did you mean {near[0]!r}? " if near else ""
            mend = f"{hint}Use DICT_4X4_50 to DICT_7X7_1000, or DICT_APRILTAG_36h11"
            faults.append(document.fault((*place, "dictionary"), found, mend))
        else:
            number = getattr(cv2.aruco, dictionary)
            count = len(cv2.aruco.getPredefinedDictionary(number).bytesList)
            if marker.id >= count:
                found = f"{marker.dictionary} has no marker {marker.id}"
                mend = f"Use 0 to {count - 1}"
                faults.append(document.fault((*place, "id"), found, mend))
        if (marker.dictionary, marker.id) in seen:
            found = f"marker {marker.id} is given twice"
            faults.append(document.fault((*place, "id"), found, "Give each marker its own id"))
        seen.add((marker.dictionary, marker.id))
        half = marker.size_mm / 2
        box = (marker.x_mm - half, marker.y_mm - half, marker.x_mm + half, marker.y_mm + half)
        faults += _outside(document, place, box, table)
    return faults


def _patch_faults(document: Document, table: _TargetTable) -> list[Fault]:
    faults = []
    seen: set[str] = set()
    for index, patch in enumerate(table.patches):
        place = ("patches", index)
        if patch.name in seen:
            found = f"{quote(patch.name)} is given twice"
            mend = "Give each patch its own name"
            faults.append(document.fault((*place, "name"), found, mend))
        seen.add(patch.name)
        if not (0.0 <= patch.lab[0] <= 110.0 and max(map(abs, patch.lab[1:])) <= 200.0):
            mend = "Give L* (0 to 110), a* and b* (within ±200), D50/2°"
            found = f"{patch.lab} is no colour of a print"
            faults.append(document.fault((*place, "lab"), found, mend))
        box = (patch.x_mm, patch.y_mm, patch.x_mm + patch.w_mm, patch.y_mm + patch.h_mm)
        faults += _outside(document, place, box, table)
    return faults


def _outside(
    document: Document,
    place: tuple[str | int, ...],
    box: tuple[float, float, float, float],
    table: _TargetTable,
) -> list[Fault]:
    slack = 1e-6
    inside = box[2] <= table.width_mm + slack and box[3] <= table.height_mm + slack
    if inside and min(box[:2]) >= -slack:
        return []
    size = f"{table.width_mm:g} × {table.height_mm:g} mm"
    return [document.fault(place, f"it reaches beyond the target's {size}", "Move or shrink it")]


def _region_faults(document: Document, index: int, region: _RegionTable) -> list[Fault]:
    place = ("regions", index)
    polygons = [p for p in (region.polygon_mm, region.polygon_px) if p is not None]
    if len(polygons) != 1:
        given = "both" if polygons else "neither"
        found = f"{given} of polygon_mm and polygon_px given"
        return [document.fault(place, found, "Give one of the two")]
    area = _area(polygons[0])
    if area < 1e-9:
        key = "polygon_mm" if region.polygon_mm is not None else "polygon_px"
        found = "the polygon has no area"
        return [document.fault((*place, key), found, "Give corners in order round the region")]
    return []


def _area(points: Sequence[Sequence[float]]) -> float:
    array = np.asarray(points, dtype=np.float64)
    x, y = array.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _points(polygon: list[list[float]] | None) -> NDArray[np.float64] | None:
    return None if polygon is None else np.asarray(polygon, dtype=np.float64)
