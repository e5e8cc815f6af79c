"""How a revision looked: every surface with its decals, kept to be drawn again later."""

from __future__ import annotations

import gzip
import json
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from livery.drawing import LabColour
from livery.geometry import Affine, FillRule, Path
from livery.kit.drawing_style import paint_of
from livery.kit.model import KitItem
from livery.placement.model import Layout, Placement
from livery.proof.content import DIGITS, item_title
from livery.scheme.model import ItemKind, Palette

_MALFORMED = (
    OSError,
    EOFError,
    zlib.error,
    LookupError,
    TypeError,
    ValueError,
    OverflowError,
    RecursionError,
)


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A decal where it lay, or a bare surface or panel beneath decals.

    Attributes:
        key: tells it from its neighbours, in every revision.
        outline: its edge, in the frame of what it lies on.
        regions: (CIELAB D50/2°, area) pairs, in painter's order.
        is_ground: it lies beneath the decals.
    """

    key: str
    name: str
    outline: Path
    regions: tuple[tuple[LabColour, Path], ...]
    is_ground: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Likeness:
    """A surface of a bat, or a whole glove or pad, as a revision showed it.

    Attributes:
        key: item, size, hand, side and surface.
        kin: the same without size and hand, by which a surface that changed these is found again.
        title: the key in words.
        pieces: in painter's order; frame in mm, y down.
    """

    key: str
    kin: str
    title: str
    pieces: tuple[Piece, ...]

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x0, y0, x1, y1) of everything on it."""
        boxes = np.array([piece.outline.bounds() for piece in self.pieces])
        low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def likenesses_of(layouts: Sequence[Layout], palette: Palette) -> tuple[Likeness, ...]:
    """What the layouts of one order look like, surface by surface.

    Args:
        layouts: of the order alone.
        palette: the season's inks, at whose aims everything is shown.
    """
    fills = {ink.key: ink.lab for ink in palette.inks}
    return tuple(
        Likeness(*_keys(layout.item, surface), title, tuple(pieces))
        for layout in layouts
        for surface, title, pieces in _surfaces(layout, fills)
    )


def likenesses_to_bytes(likenesses: Sequence[Likeness]) -> bytes:
    """Likenesses as compressed JSON; the same ones always give the same bytes."""
    data = [
        {
            "key": one.key,
            "kin": one.kin,
            "title": one.title,
            "pieces": [_piece_data(piece) for piece in one.pieces],
        }
        for one in likenesses
    ]
    text = json.dumps({"likenesses": data}, ensure_ascii=False, separators=(",", ":"))
    return gzip.compress(text.encode("utf-8"), 6, mtime=0)


def likenesses_from_bytes(data: bytes) -> tuple[Likeness, ...]:
    """Read likenesses back.

    Raises:
        ValueError: these are none.
    """
    try:
        found = json.loads(gzip.decompress(data))["likenesses"]
        return tuple(
            Likeness(
                str(one["key"]),
                str(one["kin"]),
                str(one["title"]),
                tuple(_piece(piece) for piece in one["pieces"]),
            )
            for one in found
        )
    except _MALFORMED as error:
        raise ValueError(f"not likenesses ({error})") from error


def _keys(item: KitItem, surface: str) -> tuple[str, str]:
    kin = (item.key, item.side, surface)
    return " ".join((*kin, item.size, item.hand)), " ".join(kin)


def _surfaces(
    layout: Layout, fills: Mapping[str, LabColour]
) -> Iterator[tuple[str, str, list[Piece]]]:
    item = layout.item
    if item.kind is not ItemKind.BAT:
        maps = {p.surface: p.affine for p in item.panels if p.affine is not None}
        decals = [_decal(p, maps[p.surface], fills) for p in layout.placements if p.surface in maps]
        yield "", item_title(item), [*_panels(item, fills), *decals]
        return
    wood = paint_of("willow", fills).lab
    for surface in item.surfaces:
        outline = Path.from_geometry(surface.outline)
        ground = Piece(surface.key, surface.name, outline, ((wood, outline),), True)
        own = [p for p in layout.placements if p.surface == surface.key]
        title = f"{surface.name}, {item_title(item)}"
        yield surface.key, title, [ground, *(_decal(p, Affine(), fills) for p in own)]


def _panels(item: KitItem, fills: Mapping[str, LabColour]) -> Iterator[Piece]:
    for number, panel in enumerate(item.panels):
        lab = paint_of(panel.ink or "plain", fills).lab
        region = ((lab, panel.outline),)
        yield Piece(f"panel {number}", panel.name, panel.outline, region, True)


def _decal(placement: Placement, to_frame: Affine, fills: Mapping[str, LabColour]) -> Piece:
    affine, decal = to_frame @ placement.affine, placement.decal
    regions = tuple((fills[r.ink], r.path.transformed(affine)) for r in decal.regions)
    outline = decal.outline.transformed(affine)
    return Piece(f"decal {placement.key}", decal.name, outline, regions)


def _piece_data(piece: Piece) -> dict[str, object]:
    return {
        "key": piece.key,
        "name": piece.name,
        "ground": piece.is_ground,
        "outline": _path_data(piece.outline),
        "regions": [{"lab": list(lab), "path": _path_data(path)} for lab, path in piece.regions],
    }


def _path_data(path: Path) -> dict[str, object]:
    points = np.round(path.points, DIGITS).ravel() + 0.0
    return {"verbs": path.verbs, "rule": str(path.rule), "points": points.tolist()}


def _piece(data: Mapping[str, Any]) -> Piece:
    regions = tuple((_lab(one["lab"]), _path(one["path"])) for one in data["regions"])
    ground = data["ground"] is True
    return Piece(str(data["key"]), str(data["name"]), _path(data["outline"]), regions, ground)


def _lab(values: Sequence[float]) -> LabColour:
    lightness, a, b = (float(value) for value in values)
    return lightness, a, b


def _path(data: Mapping[str, Any]) -> Path:
    points = np.array(data["points"], dtype=np.float64).reshape(-1, 2)
    if not np.isfinite(points).all():
        raise ValueError("a point is not finite")
    return Path(str(data["verbs"]), points, FillRule(data["rule"]))
