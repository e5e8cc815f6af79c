"""How gloves and pads are cut: packaged proportions of their parts."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

from livery.geometry import Affine, Path
from livery.kit.rounding import round_corners
from livery.scheme.model import ItemKind


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One part at the table's own size, in a frame of its own.

    Attributes:
        outline: in the part's frame, mm.
        affine: the part's frame to the item's frame.
        surface: key of the surface it bears, or "".
        only_on: "" for both of a pair; "bottom" for the glove of the lower hand alone.
        bulge_mm: how far a roll stands out; 0 is flat.
    """

    name: str
    panel: str
    outline: Path
    affine: Affine
    surface: str = ""
    only_on: str = ""
    bulge_mm: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """All parts of the left glove or pad, from the lowest to the topmost.

    Attributes:
        length_mm: the length by which sizes are told, at this size.
        seam_mm: stitching allowance round a part that bears decals.
        panels: panel to the panel whose ink it takes when the season names none, or "".
    """

    parts: tuple[Part, ...]
    length_mm: float
    seam_mm: float
    panels: Mapping[str, str]


@cache
def read_cut(kind: ItemKind) -> Cut:
    """The packaged cut of gloves or pads.

    Raises:
        KeyError: the kind is not gloves or pads.

    Source:
        [source: kit-panel-proportions]
    """
    name = {ItemKind.GLOVE: "gloves", ItemKind.PAD: "pads"}[kind]
    text = resources.files("livery.data").joinpath("kit", f"{name}.toml").read_text("utf-8")
    table = tomllib.loads(text)
    parts = [part for row in table["parts"] for part in _parts(row)]
    return Cut(tuple(parts), table["length_mm"], table["seam_mm"], table["panels"])


def _parts(row: Mapping[str, Any]) -> list[Part]:
    return _roll_parts(row) if "base" in row else [_part(row)]


def _part(row: Mapping[str, Any]) -> Part:
    place = Affine.translation(*row.get("at", (0.0, 0.0))) @ Affine.rotation(
        row.get("turn_deg", 0.0)
    )
    outline = round_corners(row["corners"], row["radius"])
    return Part(
        row["name"],
        row["panel"],
        outline,
        place,
        row.get("surface", ""),
        row.get("only_on", ""),
        row.get("bulge_mm", 0.0),
    )


def _roll_parts(row: Mapping[str, Any]) -> list[Part]:
    """Equal rolls one after another from base to tip."""
    (x0, y0), (x1, y1) = row["base"], row["tip"]
    length, count, gap = math.hypot(x1 - x0, y1 - y0), row["count"], row.get("gap", 0.0)
    turn = math.degrees(math.atan2(x1 - x0, y0 - y1))
    height = (length - gap * (count - 1)) / count
    round_mm = row["radius"]
    middle = _roll_outline(row["width"], height, round_mm, round_mm)
    last = _roll_outline(row["width"], height, row.get("tip_radius", round_mm), round_mm)
    parts = []
    for index in range(count):
        share = (index * (height + gap) + height / 2) / length
        centre = Affine.translation(x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
        name = row["name"] if count == 1 else f"{row['name']} {index + 1}"
        outline = last if index == count - 1 else middle
        parts.append(Part(name, row["panel"], outline, centre @ Affine.rotation(turn)))
    return parts


def _roll_outline(width: float, height: float, tip_radius: float, radius: float) -> Path:
    half, rise = width / 2, height / 2
    tip = [(-half, -rise, tip_radius), (half, -rise, tip_radius)]
    return round_corners([*tip, (half, rise, radius), (-half, rise, radius)], radius)
