"""Kits kept together: all decals of one kit item nested as one block, so the bench peels one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon, Polygon

from livery.sheet.nesting import nest
from livery.sheet.raster import Area
from livery.sheet.silhouette import Room, Silhouette, Spot, spot_area

_WIDTHS = (1.0, 1.4, 2.0, 2.8)
_SLACK = 2.5
_CELL_MM = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """The decals of one kit, seated against one another.

    Attributes:
        whole: all of them as one silhouette that does not turn.
        spots: where each stands in the block; keys are silhouette keys.
    """

    whole: Silhouette
    spots: tuple[Spot, ...]


def make_block(keys: Sequence[str], pieces: Mapping[str, Silhouette], room: Room) -> Block | None:
    """Nest one kit as compactly as any of a few widths allows.

    Args:
        keys: silhouette keys, sorted; a key counts as often as it stands there.
        pieces: silhouettes by key.
        room: the sheet's room; the block must fit it.

    Returns:
        The block, or None when no width gives one that fits a sheet.
    """
    wanted = [(pieces[key], keys.count(key)) for key in dict.fromkeys(keys)]
    total = sum(piece.area.area * count for piece, count in wanted)
    widest = max(_least_width(piece) for piece, _ in wanted)
    longest = max(_longest_side(piece) for piece, _ in wanted)
    best: tuple[float, list[Spot]] | None = None
    for factor in _WIDTHS:
        width = min(max(widest, factor * total**0.5) + _CELL_MM, room.width_mm)
        height = min(_SLACK * total / width + longest + _CELL_MM, room.height_mm)
        sheets = nest(wanted, Room(width, height, max(_CELL_MM, room.cell_mm)))
        if len(sheets) != 1:
            continue
        box = shapely.total_bounds([spot_area(pieces[s.key], s) for s in sheets[0]])
        size = round(float((box[2] - box[0]) * (box[3] - box[1])), 3)
        if best is None or size < best[0]:
            best = (size, sheets[0])
    return None if best is None else _block(keys, best[1], pieces)


def _least_width(piece: Silhouette) -> float:
    x0, y0, x1, y1 = piece.area.bounds
    return x1 - x0 if len(piece.turns_deg) == 1 else min(x1 - x0, y1 - y0)


def _longest_side(piece: Silhouette) -> float:
    x0, y0, x1, y1 = piece.area.bounds
    return max(x1 - x0, y1 - y0)


def _block(keys: Sequence[str], spots: list[Spot], pieces: Mapping[str, Silhouette]) -> Block:
    parts = [spot_area(pieces[spot.key], spot) for spot in spots]
    polygons = [p for part in parts for p in shapely.get_parts(part)]
    merged = shapely.unary_union(polygons)
    whole: Area = merged if isinstance(merged, Polygon | MultiPolygon) else MultiPolygon(polygons)
    inside = sum(pieces[spot.key].inside_mm2 for spot in spots)
    return Block(Silhouette("kit " + " | ".join(keys), whole, (0.0,), inside), tuple(spots))
