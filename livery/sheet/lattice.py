"""Many copies of one silhouette: two rows that take turns, over and over.

Rows are of one turn, of one turn and every second turned half round, or of both turns mixed. They
shift against each other by whatever sets them closest, and are spread a little where that lets
every second row begin and end at the sheet's edges.

Source: [source: lattice-rows]; how many pitches are looked at [source: workshop-choice].
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import shapely

from livery.geometry import Area
from livery.sheet.rows import Row, beside, rises_of, stretched, tightened, turned_row
from livery.sheet.silhouette import Room, Silhouette, turned_area

_MOST_PITCHES = 6
_WIDEST = 1.15
_ALIKE = 1e-4

Rise = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Lattice:
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


def find_lattices(piece: Silhouette, room: Room) -> Iterator[Lattice]:
    """Lattices in every allowed turn, with rows across and rows up the sheet."""
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


def _stacked(rows: tuple[Row, Row], pitch: float, sideways: bool) -> Iterator[Lattice]:
    """Rows that come back over one another, and rows each as low as it goes."""
    first, second = (stretched(row, pitch) for row in rows)
    up, step = rises_of(first, second)
    back, _ = (up, step) if first is second else rises_of(second, first)
    count = len(up)
    there = min(range(count), key=lambda n: round(float(up[n] + back[-n % count]), 6))
    yield Lattice(
        (first, second),
        (float(up[there]), there * step),
        (float(back[-there % count]), -there * step),
        sideways,
    )
    on, again = int(up.round(6).argmin()), int(back.round(6).argmin())
    if (on + again) % count:
        lowest = (float(up[on]), on * step), (float(back[again]), again * step)
        yield Lattice((first, second), *lowest, sideways)


def tight(lattice: Lattice) -> Lattice:
    """A lattice with rises found by exact geometry."""
    first, second = lattice.rows
    up = tightened(first, second, *lattice.up), lattice.up[1]
    back = tightened(second, first, *lattice.back), lattice.back[1]
    return Lattice(lattice.rows, up, back, lattice.sideways)
