"""Kits kept together: all decals of one kit item nested as one block, so the bench peels one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon, Polygon

from livery.geometry import Area
from livery.sheet.compaction import Workshop, shorten
from livery.sheet.nesting import nest
from livery.sheet.silhouette import Room, Silhouette, Spot, fits, spot_area

_ACROSS = (1, 2, 3, 4)
_WIDTHS = (1.0, 1.4, 2.0)
_SLACK = 2.5
_CELL_MM = 1.0
_BRIDGE_MM = 3.0
_SMOOTH_MM = 0.2
_LOOKS = 20_000


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
    """Nest one kit in the box of which most go on a sheet, then as low as a little work allows.

    Args:
        keys: silhouette keys, sorted; a key counts as often as it stands there.
        pieces: silhouettes by key.
        room: the sheet's room; the block must fit it.

    Returns:
        The block, or None when no width gives one that fits a sheet.
    """
    wanted = [(pieces[key], keys.count(key)) for key in dict.fromkeys(keys)]
    edge = room.cell_mm  # the grid may leave out part of a cell: so much less, and the block fits
    inside = Room(room.width_mm - edge, room.height_mm - edge, edge)
    tried = [
        (_score(spots, pieces, room), inner, spots)
        for inner, spots in (_seat(wanted, width, inside) for width in _widths(wanted, inside))
        if spots
    ]
    if not tried:
        return None
    _, inner, spots = min(tried, key=lambda entry: entry[0])
    needed = {piece.key: piece for piece, _ in wanted}
    return _block(keys, shorten(spots, Workshop(needed, inner, _LOOKS), _LOOKS), pieces)


def _score(spots: list[Spot], pieces: Mapping[str, Silhouette], room: Room) -> tuple[float, float]:
    """The more such boxes a sheet takes the better, then the smaller."""
    box = shapely.total_bounds([spot_area(pieces[spot.key], spot) for spot in spots])
    across, along = float(box[2]), float(box[3])
    fit = (room.width_mm // across) * (room.height_mm // along)
    return -fit, round(across * along, 3)


def _widths(wanted: Sequence[tuple[Silhouette, int]], room: Room) -> list[float]:
    """Even shares of the sheet's width, and a few widths that make a block about square."""
    total = sum(piece.area.area * count for piece, count in wanted)
    widest = max(_least_width(piece) for piece, _ in wanted) + _CELL_MM
    shares = [room.width_mm / number for number in _ACROSS]
    about = [factor * total**0.5 for factor in _WIDTHS]
    return sorted({min(max(width, widest), room.width_mm) for width in shares + about})


def _seat(
    wanted: Sequence[tuple[Silhouette, int]], width: float, room: Room
) -> tuple[Room, list[Spot]]:
    """The kit within a width; nothing where it takes more than that or one sheet's height."""
    total = sum(piece.area.area * count for piece, count in wanted)
    longest = max(_longest_side(piece) for piece, _ in wanted)
    height = min(_SLACK * total / width + longest + _CELL_MM, room.height_mm)
    inner = Room(width, height, max(_CELL_MM, room.cell_mm))
    whole = all(fits(piece, inner) for piece, _ in wanted)
    sheets = nest(wanted, inner) if whole else []
    return inner, sheets[0] if len(sheets) == 1 else []


def _least_width(piece: Silhouette) -> float:
    x0, y0, x1, y1 = piece.area.bounds
    return x1 - x0 if len(piece.turns_deg) == 1 else min(x1 - x0, y1 - y0)


def _longest_side(piece: Silhouette) -> float:
    x0, y0, x1, y1 = piece.area.bounds
    return max(x1 - x0, y1 - y0)


def _block(keys: Sequence[str], spots: list[Spot], pieces: Mapping[str, Silhouette]) -> Block:
    parts = [spot_area(pieces[spot.key], spot) for spot in spots]
    bridged = shapely.unary_union(parts).buffer(_BRIDGE_MM, quad_segs=2)
    outer = bridged.buffer(-_BRIDGE_MM, quad_segs=2).buffer(_SMOOTH_MM, join_style="mitre")
    solid = [
        Polygon(shapely.get_coordinates(Polygon(part.exterior).simplify(_SMOOTH_MM / 2)))
        for part in shapely.get_parts(outer)
    ]
    x0, y0, x1, y1 = shapely.total_bounds(parts)
    merged = shapely.unary_union(solid).intersection(shapely.box(x0, y0, x1, y1))
    whole: Area = merged if isinstance(merged, Polygon | MultiPolygon) else MultiPolygon(solid)
    inside = sum(pieces[spot.key].inside_mm2 for spot in spots)
    return Block(Silhouette("kit " + " | ".join(keys), whole, (0.0,), inside), tuple(spots))
