"""``target.toml``: read with every fault at once, written whole."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, TypeVar

from pydantic import Field, ValidationError

from livery.capture.marker_dictionary import dictionary_names, marker_count, spell_dictionary
from livery.capture.model import Marker, Patch, Target
from livery.colour import SURFACES, is_surface
from livery.drawing import lab_colour
from livery.errors import Fault, SeasonError, TargetError
from livery.scheme.faults import MOST_EXPLAINED, list_faults, nearest
from livery.scheme.fields import Length, Name, PositiveLength, Table, quote
from livery.scheme.reading import Document, read_document
from livery.writing import write_whole

_MOST = 5000  # of markers, and of patches [source: workshop-choice]
_SLACK_MM = 1e-6  # beyond a target's edge, for rounding [source: workshop-choice]

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


def read_target(path: Path) -> Target:
    """Read a ``target.toml``.

    Args:
        path: the file; a target without an ``id`` takes the file's name.

    Raises:
        TargetError: every fault of the file at once, each with its place and line.
    """
    document, table = read_table(path, _TargetTable)
    faults = [*_marker_faults(document, table), *_patch_faults(document, table)]
    if faults:
        raise TargetError(*faults)
    markers = tuple(
        Marker(spell_dictionary(m.dictionary) or m.dictionary, m.id, m.x_mm, m.y_mm, m.size_mm)
        for m in table.markers
    )
    patches = tuple(
        Patch(p.name, p.x_mm, p.y_mm, p.w_mm, p.h_mm, lab_colour(p.lab), p.measured)
        for p in table.patches
    )
    return Target(table.id or path.stem, table.width_mm, table.height_mm, markers, patches)


def write_target(target: Target, path: Path) -> None:
    """Write a target as ``target.toml``, every number exactly as held.

    How far values may be off (``lab_sd``) is not written: what is read has an instrument's.

    Raises:
        OutputError: the place cannot be written.
    """
    lines = [
        f"id = {toml_text(target.key)}",
        f"width_mm = {target.width_mm!r}",
        f"height_mm = {target.height_mm!r}",
        "# Origin top-left, y down. A patch is nominal until measured = true.",
    ]
    for marker in target.markers:
        lines += ["", "[[markers]]", f"dictionary = {toml_text(marker.dictionary)}"]
        lines += [f"id = {marker.id}", f"x_mm = {marker.x_mm!r}", f"y_mm = {marker.y_mm!r}"]
        lines += [f"size_mm = {marker.size_mm!r}"]
    for patch in target.patches:
        lines += ["", "[[patches]]", f"name = {toml_text(patch.name)}"]
        lines += [f"x_mm = {patch.x_mm!r}", f"y_mm = {patch.y_mm!r}"]
        lines += [f"w_mm = {patch.w_mm!r}", f"h_mm = {patch.h_mm!r}"]
        lines += [f"lab = [{', '.join(repr(float(value)) for value in patch.lab)}]"]
        lines += [f"measured = {'true' if patch.measured else 'false'}"]
    write_whole(path, "\n".join(lines) + "\n")


def read_table(path: Path, model: type[_T]) -> tuple[Document, _T]:
    """A TOML file of this room's, and what it says.

    Args:
        path: the file.
        model: what it must hold.

    Raises:
        TargetError: no such file, no TOML, or not what it must hold; every fault at once.
    """
    try:
        document = read_document(path)
    except SeasonError as error:
        raise TargetError(*error.faults) from error
    try:
        return document, model.model_validate(document.data)
    except ValidationError as error:
        raise TargetError(*list_faults(document, model, error)) from error


def toml_text(value: str) -> str:
    """A basic TOML string; JSON's escapes are a subset of TOML's but for DEL."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _marker_faults(document: Document, table: _TargetTable) -> list[Fault]:
    faults: list[Fault] = []
    seen: set[tuple[str, int]] = set()
    for index, marker in enumerate(table.markers):
        if len(faults) >= MOST_EXPLAINED:
            break
        place = ("markers", index)
        dictionary = spell_dictionary(marker.dictionary)
        faults += _code_faults(document, place, marker, dictionary)
        code = (dictionary or marker.dictionary, marker.id)
        if code in seen:
            found = f"marker {marker.id} is given twice"
            faults.append(document.fault((*place, "id"), found, "Give each marker its own id"))
        seen.add(code)
        half = marker.size_mm / 2
        box = (marker.x_mm - half, marker.y_mm - half, marker.x_mm + half, marker.y_mm + half)
        faults += _outside(document, place, box, table)
    return faults


def _code_faults(
    document: Document, place: tuple[str | int, ...], marker: _MarkerTable, dictionary: str | None
) -> list[Fault]:
    """What is wrong with a marker's dictionary, as OpenCV spells it, or its id in that."""
    if dictionary is None:
        found = f"{quote(marker.dictionary)} is no marker dictionary"
        near = nearest(marker.dictionary.upper(), dictionary_names())
        hint = f"Did you mean {near!r}? " if near else ""
        mend = f"{hint}Use DICT_4X4_50 to DICT_7X7_1000, or DICT_APRILTAG_36h11"
        return [document.fault((*place, "dictionary"), found, mend)]
    count = marker_count(dictionary)
    if marker.id < count:
        return []
    found = f"{marker.dictionary} has no marker {marker.id}"
    return [document.fault((*place, "id"), found, f"Use 0 to {count - 1}")]


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
        if not is_surface(patch.lab):
            found = f"{patch.lab} is no colour of a surface"
            faults.append(document.fault((*place, "lab"), found, f"Give {SURFACES}"))
        box = (patch.x_mm, patch.y_mm, patch.x_mm + patch.w_mm, patch.y_mm + patch.h_mm)
        faults += _outside(document, place, box, table)
    return faults


def _outside(
    document: Document,
    place: tuple[str | int, ...],
    box: tuple[float, float, float, float],
    table: _TargetTable,
) -> list[Fault]:
    """Whether a box (x0, y0, x1, y1), mm, reaches beyond the target."""
    inside = box[2] <= table.width_mm + _SLACK_MM and box[3] <= table.height_mm + _SLACK_MM
    if inside and min(box[:2]) >= -_SLACK_MM:
        return []
    size = f"{table.width_mm:g} × {table.height_mm:g} mm"
    return [document.fault(place, f"it reaches beyond the target's {size}", "Move or shrink it")]
