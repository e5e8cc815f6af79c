"""Many copies of one silhouette: a regular tiling that fills whole sheets.

Source: how many pitches and tilings are looked at [source: workshop-choice].
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from livery.sheet.raster import Area
from livery.sheet.rows import Row, beside, rises_of, stretched, tightened, turned_row
from livery.sheet.settling import stand_apart
from livery.sheet.silhouette import Room, Silhouette, Spot, turned_area

_MOST_PITCHES = 6
_WIDEST = 1.15
_LOOKED_AT = 12
_HAIR_MM = 0.12
_ALIKE = 1e-4

Rise = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class _Lattice:
    """Two rows that take turns, and how the second stands on the first and the first on it.

    Attributes:
        rows: with one pitch.
        up, back: rise and shift of the second row over the first, and of the first over that.
        sideways: whether rows run up the sheet, everything turned a quarter to the left.
    """

    rows: tuple[Row, Row]
    up: Rise
    back: Rise
    sideways: bool


def tile(piece: Silhouette, room: Room) -> list[Spot]:
    """The tiling that seats most copies on one sheet.

    Tries every allowed turn, rows across and rows up the sheet, rows of one turn, rows of which
    every second is turned half round, and rows whose neighbours are. Rows shift against each
    other by whatever sets them closest, and are spread a little where that lets every second row
    begin and end at the sheet's edges.

    Returns:
        Spots, lowest first.
    """
    lattices = sorted(_lattices(piece, room), key=lambda one: _capacity(one, room), reverse=True)
    chosen = lattices[:_LOOKED_AT]
    for tried in ([_tight(lattice) for lattice in chosen], chosen):
        filled = [_fill(piece.key, lattice, room) for lattice in tried]
        for spots in sorted(filled, key=lambda spots: -len(spots)):
            if spots and stand_apart(spots, {piece.key: piece}):
                return sorted(spots, key=lambda spot: (round(spot.y_mm, 6), spot.x_mm))
    return []


def _lattices(piece: Silhouette, room: Room) -> Iterator[_Lattice]:
    for sideways in (False, True):
        width = room.height_mm if sideways else room.width_mm
        for turn in piece.turns_deg:
            half = turn + 180.0
            if turn >= 180.0:
                continue
            across = turn - 90.0 if sideways else turn
            reversible = half in piece.turns_deg and not _same_reversed(piece.area)
            for rows in _row_pairs(piece, across, reversible):
                for pitch in _pitches(rows, width):
                    yield from _stacked(rows, pitch, sideways)


def _same_reversed(area: Area) -> bool:
    """Whether a half turn leaves an area as it was."""
    x0, y0, x1, y1 = area.bounds
    half = shapely.affinity.rotate(area, 180.0, origin=((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    return bool(area.symmetric_difference(half).area < _ALIKE * area.area)


def _row_pairs(piece: Silhouette, turn: float, reversible: bool) -> Iterator[tuple[Row, Row]]:
    """Rows of one turn; rows that take turns; rows of both turns mixed."""
    one = turned_area(piece.area, turn)
    alike = turned_row(one, turn)
    yield alike, alike
    if not reversible:
        return
    two = turned_area(piece.area, turn + 180.0)
    other = turned_row(two, turn + 180.0)
    yield alike, other
    step = beside(one, two)
    pitch = max(step + beside(two, one), alike.pitch, other.pitch)
    mixed = Row(((one, turn), (two, turn + 180.0)), (0.0, step), pitch)
    yield mixed, mixed


def _pitches(rows: tuple[Row, Row], width: float) -> list[float]:
    """The closest pitch, and wider ones of which a whole or half number fills the width."""
    least = max(row.pitch for row in rows)
    part = rows[0].parts[0][0]
    free = width - (part.bounds[2] - part.bounds[0])
    halves = math.floor(2.0 * free / least + 1e-9)
    wider = [2.0 * free / n for n in range(halves, max(halves - _MOST_PITCHES, 0), -1)]
    return [least] + [pitch for pitch in wider if least < pitch <= _WIDEST * least]


def _stacked(rows: tuple[Row, Row], pitch: float, sideways: bool) -> Iterator[_Lattice]:
    """Rows that come back over one another, and rows each as low as it goes."""
    first, second = (stretched(row, pitch) for row in rows)
    up, step = rises_of(first, second)
    back, _ = (up, step) if first is second else rises_of(second, first)
    count = len(up)
    there = min(range(count), key=lambda n: round(float(up[n] + back[-n % count]), 6))
    yield _Lattice(
        (first, second),
        (float(up[there]), there * step),
        (float(back[-there % count]), -there * step),
        sideways,
    )
    on, again = int(up.round(6).argmin()), int(back.round(6).argmin())
    if (on + again) % count:
        lowest = (float(up[on]), on * step), (float(back[again]), again * step)
        yield _Lattice((first, second), *lowest, sideways)


def _tight(lattice: _Lattice) -> _Lattice:
    """With rises found by exact geometry."""
    first, second = lattice.rows
    up = tightened(first, second, *lattice.up), lattice.up[1]
    back = tightened(second, first, *lattice.back), lattice.back[1]
    return _Lattice(lattice.rows, up, back, lattice.sideways)


def _size(lattice: _Lattice, room: Room) -> tuple[float, float]:
    """Length of the rows, and how high they may be stacked."""
    if lattice.sideways:
        return room.height_mm, room.width_mm
    return room.width_mm, room.height_mm


def _capacity(lattice: _Lattice, room: Room) -> tuple[float, float]:
    """About how many copies a sheet takes, were rows a hair closer; then as if rows could part."""
    width, height = _size(lattice, room)
    first, second = lattice.rows
    start = lattice.up[1] - first.start + second.start
    odd, even = len(first.places(0.0, width)), len(second.places(start, width))
    free, up = height - first.height, lattice.up[0] - _HAIR_MM
    pairs, rest = divmod(free, up + lattice.back[0] - _HAIR_MM)
    if free < 0.0:
        return 0.0, 0.0
    whole = odd + pairs * (odd + even) + (even if rest >= up else 0)
    return whole, odd + (odd + even) * free / (lattice.up[0] + lattice.back[0])


def _fill(key: str, lattice: _Lattice, room: Room) -> list[Spot]:
    """Stack rows, each shifted to sit lowest on the one below, until the sheet is full."""
    width, height = _size(lattice, room)
    spots: list[Spot] = []
    y, shift, number = -lattice.rows[0].bottom, -lattice.rows[0].start, 0
    while True:
        row = lattice.rows[number % 2]
        if y + row.top > height + 1e-9:
            return spots
        for x, turn in row.places(shift + row.start, width):
            spots.append(_spot(key, x, y, turn, room if lattice.sideways else None))
        rise, step = lattice.up if number % 2 == 0 else lattice.back
        y, shift, number = y + rise, shift + step, number + 1


def _spot(key: str, x: float, y: float, turn: float, sideways_in: Room | None) -> Spot:
    if sideways_in is None:
        return Spot(key, x, y, turn)
    return Spot(key, sideways_in.width_mm - y, x, turn + 90.0)
