"""The packaged size tables: bats, gloves and pads, each value with its source."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, fields, replace
from functools import cache
from importlib import resources
from typing import Any

from livery.scheme.model import BladeDims, ItemKind, SoftSize
from livery.units import format_mm_and_inch, parse_length_mm

LENGTH_AGREES_MM = 1.0
"""How far handle and blade may miss the overall length. Source: workshop-choice."""

DIM_NAMES = tuple(
    field.name for field in fields(BladeDims) if field.name != "source" and field.default is MISSING
)

_ABOVE_0 = (
    "blade_length",
    "width",
    "handle_width",
    "shoulder_length",
    "edge_thickness",
    "toe_thickness",
    "spine_from_toe",
    "entry_share",
)
_RANGES = {
    "hollow": (-1.0, 1.0),
    "entry_share": (0.0, 1.0),
    "swell": (1.0, math.inf),
    "shoulder_power": (1.0, math.inf),
    "taper": (0.0, math.inf),
    "toe_radius": (0.0, math.inf),
    "bow": (0.0, math.inf),
}
_SOFT_TABLES = {ItemKind.GLOVE: "gloves", ItemKind.PAD: "pads"}


def _read_table(name: str, folder: str = "sizes") -> dict[str, Any]:
    text = resources.files("livery.data").joinpath(folder, f"{name}.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def bat_sizes() -> Mapping[str, BladeDims]:
    """Every bat size known, by key, smallest first.

    Source:
        size-retail, blade-lengths, bat-depths (from memory); bat-proportions (workshop choice).
    """
    return {key: _read_dims(row) for key, row in _read_table("bats").items()}


def _read_dims(row: Mapping[str, Any]) -> BladeDims:
    values = {name: parse_length_mm(row[name]["value"]) for name in DIM_NAMES}
    by_source: dict[str, list[str]] = {}
    for name in DIM_NAMES:
        by_source.setdefault(row[name]["source"], []).append(name)
    source = "; ".join(f"{key}: {', '.join(names)}" for key, names in by_source.items())
    return BladeDims(**values, source=source)


@cache
def soft_sizes(kind: ItemKind) -> Mapping[str, SoftSize]:
    """Every size of gloves or pads known, by key, smallest first.

    Source:
        glove-sizes, pad-sizes (read).

    Raises:
        KeyError: the kind is not gloves or pads.
    """
    return {
        key: SoftSize(
            key=key,
            name=row["name"],
            kind=kind,
            low_mm=parse_length_mm(row["length"][0]),
            high_mm=parse_length_mm(row["length"][1]),
            source=row["source"],
        )
        for key, row in _read_table(_SOFT_TABLES[kind]).items()
    }


@cache
def panel_keys(kind: ItemKind) -> tuple[str, ...]:
    """Panels that a season may give an ink; a bat has none."""
    if kind not in _SOFT_TABLES:
        return ()
    return tuple(_read_table(_SOFT_TABLES[kind], "kit")["panels"])


def size_keys(kind: ItemKind) -> tuple[str, ...]:
    """Keys of the sizes known of a kind of kit, smallest first."""
    return tuple(bat_sizes() if kind is ItemKind.BAT else soft_sizes(kind))


@cache
def size_name(kind: ItemKind, key: str) -> str:
    """A size as the trade calls it: ``Short Handle``.

    Raises:
        KeyError: no such size of that kind.
    """
    if kind is ItemKind.BAT:
        return str(_read_table("bats")[key]["name"])
    return soft_sizes(kind)[key].name


def resolve_dims(size: str, overrides: Mapping[str, float], source: str) -> BladeDims:
    """Dimensions of a size with the season's own values over the table's.

    Args:
        size: key of a bat size.
        overrides: dimension name to mm.
        source: where the overrides come from.

    Raises:
        KeyError: no such size.
    """
    table = bat_sizes()[size]
    if not overrides:
        return table
    return replace(table, **overrides, source=f"{source}: {', '.join(overrides)}; {table.source}")


def check_dims(dims: BladeDims) -> list[tuple[str, str, str]]:
    """What makes a blade's dimensions impossible: (dimension, found, mend) each."""
    return [*_check_ranges(dims), *_check_length(dims), *_check_proportions(dims)]


def check_overrides(size: str, overrides: Mapping[str, float]) -> list[tuple[str, str, str]]:
    """The same of a size with the season's own values, what follows from one of them told once.

    A value is the cause where the size's own in its place would mend several faults, or one of a
    dimension that the season does not give; lengths that do not add up are told as such.

    Args:
        size: key of a bat size.
        overrides: dimension name to mm.

    Raises:
        KeyError: no such size.
    """
    faults = check_dims(resolve_dims(size, overrides, "season"))
    told = []
    for name in overrides:
        without = {key: mm for key, mm in overrides.items() if key != name}
        left = check_dims(resolve_dims(size, without, "season"))
        caused = [fault for fault in faults if fault not in left and fault[0] != "overall_length"]
        if len(caused) > 1 or any(other not in overrides for other, _, _ in caused):
            told.append(_cause(size, name, overrides[name], [other for other, _, _ in caused]))
            faults = [fault for fault in faults if fault not in caused]
    return [*told, *faults]


def _cause(size: str, name: str, mm: float, caused: list[str]) -> tuple[str, str, str]:
    others = ", ".join(dict.fromkeys(other for other in caused if other != name))
    usual = getattr(bat_sizes()[size], name)
    found = f"{name} is {format_mm_and_inch(mm)}, which does not go with {others or 'the others'}"
    mend = f"Check its unit (the size's own is {format_mm_and_inch(usual)}), or give those too"
    return name, found, mend


def _check_ranges(dims: BladeDims) -> Iterator[tuple[str, str, str]]:
    """What no dimension may be, whatever the others are."""
    for name in _ABOVE_0:
        if not getattr(dims, name) > 0.0:
            yield name, f"{name} is {getattr(dims, name):g}", "Make it more than 0"
    for name, (least, most) in _RANGES.items():
        if not least <= getattr(dims, name) <= most:
            above = f", at most {most:g}" if math.isfinite(most) else ""
            yield name, f"{name} is {getattr(dims, name):g}", f"Make it at least {least:g}{above}"


def _check_proportions(dims: BladeDims) -> list[tuple[str, str, str]]:
    """What is too large beside another dimension."""
    face_length = dims.blade_length - dims.shoulder_length
    limits = [
        ("shoulder_length", dims.shoulder_length, dims.blade_length / 2, "half the blade_length"),
        ("grip_below_entry", dims.grip_below_entry, dims.blade_length / 2, "half the blade_length"),
        ("width", dims.width, dims.blade_length, "the blade_length"),
        ("spine_height", dims.spine_height, dims.width, "the width"),
        ("handle_width", dims.handle_width, dims.width, "the width"),
        ("edge_thickness", dims.edge_thickness, dims.spine_height, "the spine_height"),
        ("toe_thickness", dims.toe_thickness, dims.spine_height, "the spine_height"),
        ("spine_from_toe", dims.spine_from_toe, face_length, "blade_length less shoulder_length"),
        ("taper", dims.taper, dims.width / 2, "half the width"),
        ("toe_radius", dims.toe_radius, (dims.width - dims.taper) / 2, "half the toe's width"),
        (
            "toe_radius",
            dims.toe_radius,
            face_length / 2,
            "half of blade_length less shoulder_length",
        ),
        ("spine_offset", abs(dims.spine_offset), dims.width / 4, "a quarter of the width"),
        ("bow", dims.bow, dims.blade_length / 8, "an eighth of the blade_length"),
    ]
    return [
        (name, f"{name} is {format_mm_and_inch(value)}", f"Make it at most {what}, {most:.1f} mm")
        for name, value, most, what in limits
        if value > most
    ]


def _check_length(dims: BladeDims) -> list[tuple[str, str, str]]:
    total = dims.exposed_handle + dims.blade_length
    if abs(total - dims.overall_length) <= LENGTH_AGREES_MM:
        return []
    found = (
        f"exposed_handle {dims.exposed_handle:g} mm and blade_length {dims.blade_length:g} mm "
        f"make {total:g} mm, but overall_length is {dims.overall_length:g} mm"
    )
    mend = f"Give all three so that they agree, e.g. overall_length = {total:g}"
    handle = dims.overall_length - dims.blade_length
    if handle > 0:
        mend += f" or exposed_handle = {handle:g}"
    return [("overall_length", found, mend)]
