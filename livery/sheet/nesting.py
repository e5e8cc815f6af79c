"""Silhouettes onto sheets: largest first, each as low and as far left as it will go.

The same input gives the same result on every machine: nothing here is limited by time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from livery.sheet.model import Watch, unwatched
from livery.sheet.raster import Ground, Mask, Turned, press, stamp_of, turn_area
from livery.sheet.silhouette import Room, Silhouette, Spot, spot_area
from livery.sheet.tiling import tile, tile_low

_LEAST_OPEN, _MOST_OPEN = 3, 16
_LOOKS = 1200
_TRIES = 400
_ALIKE = 1e-6
MANY = 12
"""Copies of one silhouette from which tiling them may pay."""


@dataclass(slots=True, eq=False)
class _Open:
    """A sheet still taking silhouettes.

    Attributes:
        number: its place among all sheets.
    """

    number: int
    ground: Ground
    spots: list[Spot] = field(default_factory=list)

    def copy(self) -> _Open:
        """The same, to be filled apart."""
        return _Open(self.number, self.ground.copy(), list(self.spots))


Order = Callable[[Silhouette], tuple[float, ...]]


def by_area(piece: Silhouette) -> tuple[float, ...]:
    """Sort key: largest area first."""
    return (-piece.area.area,)


def by_length(piece: Silhouette) -> tuple[float, ...]:
    """Sort key: longest side first."""
    x0, y0, x1, y1 = piece.area.bounds
    return (-max(x1 - x0, y1 - y0), -piece.area.area)


def by_hull(piece: Silhouette) -> tuple[float, ...]:
    """Sort key: largest convex hull first, as hollow shapes are the hardest to seat."""
    return (-piece.area.convex_hull.area,)


ORDERS: tuple[Order, ...] = (by_area, by_length, by_hull)


def nest(
    wanted: Sequence[tuple[Silhouette, int]],
    room: Room,
    order: Order = by_area,
    watch: Watch = unwatched,
    *,
    roll: bool = False,
) -> list[list[Spot]]:
    """Fill sheets with silhouettes.

    A few of the emptiest sheets stay open for later, smaller silhouettes: fewer the more kinds
    there are, so that cost grows with the number of kinds and of copies only.

    Args:
        wanted: silhouettes with how many of each.
        room: the sheets' usable area; each silhouette must fit it in some allowed turn.
        order: which silhouettes are seated first.
        watch: told of progress.
        roll: whether many copies may be tiled beyond what stands there, as short is good.

    Returns:
        Spots a sheet.
    """
    sheets: list[list[Spot]] = []
    live: list[_Open] = []
    stamps = _Stamps()
    kept_open = min(max(_LOOKS // max(len(wanted), 1), _LEAST_OPEN), _MOST_OPEN)
    full: dict[str, _Open] = {}
    total, seated = sum(count for _, count in wanted), 0
    for piece, count in sorted(wanted, key=lambda pair: (*order(pair[0]), pair[0].key)):
        watch("nesting", seated, total)
        seated += count
        turned = _turns(piece, room.cell_mm)
        left, fill = count, _fill_low if roll and count >= MANY else _fill
        for sheet in live:
            left -= fill(sheet, piece, turned, left, stamps) if left else 0
        while left:
            sheet = _start(piece, turned, left, room, stamps, full, fill)
            sheet.number = len(sheets)
            left -= len(sheet.spots)
            live = _emptiest([*live, sheet], kept_open)
            sheets.append(sheet.spots)
    watch("nesting", total, total)
    return sheets


def _turns(piece: Silhouette, cell_mm: float) -> list[Turned]:
    """A silhouette in its allowed turns, of those that look alike the first only."""
    kept: list[Turned] = []
    for turn in piece.turns_deg:
        turned = turn_area(piece.area, turn, cell_mm)
        if not any(_alike(turned, other) for other in kept):
            kept.append(turned)
    return kept


def _alike(one: Turned, two: Turned) -> bool:
    if not np.array_equal(one.mask, two.mask):
        return False
    return bool(one.area.symmetric_difference(two.area).area <= _ALIKE * one.area.area)


def _emptiest(live: list[_Open], kept: int) -> list[_Open]:
    """The sheets with most room, in order; the others' grounds are let go."""
    emptiest = sorted(live, key=lambda sheet: (-sheet.ground.free_mm2, sheet.number))[:kept]
    return sorted(emptiest, key=lambda sheet: sheet.number)


def _start(
    piece: Silhouette,
    turned: list[Turned],
    count: int,
    room: Room,
    stamps: _Stamps,
    full: dict[str, _Open],
    fill: _Filler,
) -> _Open:
    """A new sheet with as many copies as it takes, tiled where that seats more.

    Args:
        piece: what is seated.
        turned: its allowed turns.
        count: how many are left.
        room: the sheet's room.
        stamps: shared by all sheets.
        full: the best full sheet of each silhouette, found and laid once.
        fill: what seats them where no full sheet is known, or too few are left for one of a roll.
    """
    known = full.get(piece.key)
    if known is None or (fill is _fill_low and count < len(known.spots)):
        sheet = _empty(room)
        if not fill(sheet, piece, turned, count, stamps):
            raise ValueError(f"{piece.key} does not fit an empty sheet")
        if len(sheet.spots) == count:
            return sheet
        tiled = _empty(room)
        _lay(tiled, piece, tile(piece, room))
        _fill(tiled, piece, turned, count - len(tiled.spots), stamps)
        best = max(sheet.spots, tiled.spots, key=len)
        known = full[piece.key] = _laid(piece, best, room)
    if count < len(known.spots):
        return _laid(piece, known.spots[:count], room)
    return known.copy()


def _empty(room: Room) -> _Open:
    return _Open(0, Ground(room.width_mm, room.height_mm, room.cell_mm))


def _laid(piece: Silhouette, spots: Sequence[Spot], room: Room) -> _Open:
    sheet = _empty(room)
    _lay(sheet, piece, spots)
    return sheet


def _lay(sheet: _Open, piece: Silhouette, spots: Sequence[Spot]) -> None:
    sheet.spots += spots
    for spot in spots:
        sheet.ground.lay_exactly(spot_area(piece, spot))


def _fill_low(
    sheet: _Open, piece: Silhouette, turned: list[Turned], count: int, stamps: _Stamps
) -> int:
    """Seat up to ``count`` copies, tiled beyond what stands there where that ends lower."""
    ground = sheet.ground
    edge = float(shapely.total_bounds(ground.areas)[3]) if ground.areas else 0.0
    beyond = Room(ground.width_mm, ground.height_mm - edge, ground.cell_mm)
    tiled = tile_low(piece, beyond, count)
    if not tiled:
        return _fill(sheet, piece, turned, count, stamps)
    raised = [Spot(spot.key, spot.x_mm, spot.y_mm + edge, spot.turn_deg) for spot in tiled]
    low = max(float(spot_area(piece, spot).bounds[3]) for spot in raised)
    among = sheet.copy()
    seated = _fill(among, piece, turned, count, stamps)
    if seated < count or float(shapely.total_bounds(among.ground.areas)[3]) > low:
        _lay(sheet, piece, raised)
    else:
        sheet.ground, sheet.spots[:] = among.ground, among.spots
    return count


class _Stamps:
    """Stamps of one silhouette's turns on one another, worked out once."""

    def __init__(self) -> None:
        self._known: dict[tuple[str, float, float], tuple[Mask, tuple[int, int]]] = {}

    def of(self, key: str, placed: Turned, moving: Turned) -> tuple[Mask, tuple[int, int]]:
        name = (key, placed.turn_deg, moving.turn_deg)
        if name not in self._known:
            self._known[name] = stamp_of(placed.mask, moving.mask)
        return self._known[name]


_Filler = Callable[[_Open, Silhouette, list[Turned], int, _Stamps], int]


def _fill(
    sheet: _Open, piece: Silhouette, turned: list[Turned], count: int, stamps: _Stamps
) -> int:
    """Seat up to ``count`` copies; returns how many went in."""
    if sheet.ground.free_mm2 < piece.area.area:
        return 0
    maps = [(t, m) for t in turned if (m := sheet.ground.positions(t)) is not None]
    seated = 0
    while seated < count:
        best = _lowest(sheet.ground, maps)
        if best is None:
            break
        chosen, row, column = best
        x, y = sheet.ground.lay(chosen, row, column)
        sheet.spots.append(
            Spot(piece.key, x + chosen.shift_mm[0], y + chosen.shift_mm[1], chosen.turn_deg)
        )
        seated += 1
        for other, blocked in maps:
            stamp, (down, left) = stamps.of(piece.key, chosen, other)
            press(blocked, stamp, row + down, column + left)
    return seated


def _lowest(ground: Ground, maps: list[tuple[Turned, Mask]]) -> tuple[Turned, int, int] | None:
    """The free position whose top edge is lowest, then leftmost, among all turns."""
    for _ in range(_TRIES):
        best: tuple[float, int, int] | None = None
        for index, (turned, blocked) in enumerate(maps):
            first = int(np.argmin(blocked))
            row, column = divmod(first, blocked.shape[1])
            if blocked[row, column]:
                continue
            top = row * ground.cell_mm + turned.size_mm[1]
            if best is None or (top, column) < (best[0], best[1] % blocked.shape[1]):
                best = (top, first, index)
        if best is None:
            return None
        turned, blocked = maps[best[2]]
        row, column = divmod(best[1], blocked.shape[1])
        x, y = column * ground.cell_mm, row * ground.cell_mm
        if ground.clear(shapely.affinity.translate(turned.area, x, y)):
            return turned, row, column
        blocked[row, column] = True
    return None
