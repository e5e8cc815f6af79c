"""Sheets filled with many copies of one silhouette: a lattice, or one lattice over another.

Two lattices, say of upright and of turned copies, use up a sheet that a whole number of rows of
either does not.

Source: how many tilings are looked at, and by how little a length grows [source: workshop-choice].
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from livery.sheet.lattice import Lattice, find_lattices, tight
from livery.sheet.settling import stand_apart
from livery.sheet.silhouette import Room, Silhouette, Spot, spot_area

_LOOKED_AT = 12
_HAIR_MM = 0.12
_HALVINGS = 8
_LONGER, _MOST_LONGER = 1.002, 40

Row = list[tuple[float, float]]


@dataclass(frozen=True, slots=True, eq=False)
class _Stack:
    """A lattice of some rows, and another over it.

    Attributes:
        lower: the lattice that starts at the sheet's edge.
        rows: how many of its rows; None for as many as go.
        upper: the lattice over it, if any.
    """

    lower: Lattice
    rows: int | None = None
    upper: Lattice | None = None


@dataclass(frozen=True, slots=True, eq=False)
class _Levels:
    """What a lattice holds, row by row, were its rows a hair closer.

    Attributes:
        tops: height that so many rows take, none first.
        held: copies in so many rows.
    """

    tops: NDArray[np.float64]
    held: NDArray[np.int64]


def tile(piece: Silhouette, room: Room) -> list[Spot]:
    """The tiling that seats most copies on one sheet.

    Returns:
        Spots, lowest first.
    """
    stacks = [stack for _, stack in _ranked(list(find_lattices(piece, room)), room)]
    for tighten in (True, False):
        known: dict[int, Lattice] = {}
        filled = [_fill(piece.key, _with(stack, tighten, known), room) for stack in stacks]
        for spots in sorted(filled, key=lambda spots: -len(spots)):
            if spots and stand_apart(spots, {piece.key: piece}):
                return sorted(spots, key=lambda spot: (round(spot.y_mm, 6), spot.x_mm))
    return []


def tile_low(piece: Silhouette, room: Room, count: int) -> list[Spot]:
    """The tiling of so many copies that takes the least height.

    Returns:
        Spots, lowest first; none when the room does not hold so many.
    """
    low, high = count * piece.area.area / room.width_mm, room.height_mm
    across = [one for one in find_lattices(piece, room) if not one.sideways]
    if low > high or _most(piece, room, across) < count:
        return []
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        enough = _most(piece, _cut(room, middle), across) >= count
        low, high = (low, middle) if enough else (middle, high)
    for _ in range(_MOST_LONGER):
        spots = tile(piece, _cut(room, min(high, room.height_mm)))
        if len(spots) >= count:
            return _lowest(piece, spots)[:count]
        if high >= room.height_mm:
            break
        high *= _LONGER
    return []


def _cut(room: Room, height_mm: float) -> Room:
    return Room(room.width_mm, height_mm, room.cell_mm)


def _lowest(piece: Silhouette, spots: Sequence[Spot]) -> list[Spot]:
    tops = {id(spot): round(float(spot_area(piece, spot).bounds[3]), 6) for spot in spots}
    return sorted(spots, key=lambda spot: (tops[id(spot)], spot.x_mm))


def _most(piece: Silhouette, room: Room, across: list[Lattice]) -> int:
    """About how many copies a sheet takes; lattices across are those of any height."""
    lattices = across + [one for one in find_lattices(piece, room) if one.sideways]
    return max((count for count, _ in _ranked(lattices, room)), default=0)


def _ranked(lattices: Sequence[Lattice], room: Room) -> list[tuple[int, _Stack]]:
    """The best lattices alone, and the best pairs, with about how many copies they hold."""
    levels = [(lattice, _levels(lattice, room)) for lattice in lattices]
    alone = [(_score(of, len(of.tops) - 1), _Stack(lattice)) for lattice, of in levels]
    best = sorted(alone, key=lambda entry: entry[0], reverse=True)[:_LOOKED_AT]
    pairs = sorted(_pairs(levels, room), key=lambda entry: entry[0], reverse=True)[:_LOOKED_AT]
    return [(score[0], stack) for score, stack in best + pairs if score[0]]


def _score(levels: _Levels, rows: int) -> tuple[int, float]:
    """Copies held; then the copies for the height they take."""
    held, top = int(levels.held[rows]), float(levels.tops[rows])
    return held, held / top if top else 0.0


def _pairs(
    levels: Sequence[tuple[Lattice, _Levels]], room: Room
) -> Iterator[tuple[tuple[int, float], _Stack]]:
    """Each lattice over each other, with the number of rows below that seats most."""
    for (lower, under), (upper, over) in product(levels, levels):
        if lower is upper or lower.sideways is not upper.sideways:
            continue
        left = _size(lower, room)[1] - under.tops
        fits = np.searchsorted(over.tops, left, side="right") - 1
        held = under.held + over.held[fits]
        rows = int(held.argmax())
        if rows > 0 and held[rows] > max(under.held[-1], over.held[-1]):
            top = float(under.tops[rows] + over.tops[fits[rows]])
            yield (int(held[rows]), held[rows] / top), _Stack(lower, rows, upper)


def _levels(lattice: Lattice, room: Room) -> _Levels:
    tops, held = [0.0], [0]
    for y, row, top in _rows(lattice, room, -lattice.rows[0].bottom, _HAIR_MM):
        del y
        tops.append(top)
        held.append(held[-1] + len(row))
    return _Levels(np.array(tops), np.array(held, dtype=np.int64))


def _size(lattice: Lattice, room: Room) -> tuple[float, float]:
    """Length of the rows, and how high they may be stacked."""
    if lattice.sideways:
        return room.height_mm, room.width_mm
    return room.width_mm, room.height_mm


def _rows(
    lattice: Lattice, room: Room, y: float, hair_mm: float = 0.0
) -> Iterator[tuple[float, Row, float]]:
    """Rows up to the sheet's edge: where each stands, its copies, and its top.

    Each is shifted to sit lowest on the one below.

    Args:
        lattice: whose.
        room: of the sheet.
        y: of the first row's frame.
        hair_mm: how much closer rows are taken to stand.
    """
    width, height = _size(lattice, room)
    shift, number, top = -lattice.rows[0].start, 0, 0.0
    while True:
        row = lattice.rows[number % 2]
        if y + row.top > height + 1e-9:
            return
        top = max(top, y + row.top)
        yield y, row.places(shift + row.start, width), top
        rise, step = lattice.up if number % 2 == 0 else lattice.back
        y, shift, number = y + max(rise - hair_mm, rise / 2.0), shift + step, number + 1


def _with(stack: _Stack, tighten: bool, known: dict[int, Lattice]) -> _Stack:
    """The stack with lattices tightened, each once."""
    if not tighten:
        return stack
    for lattice in (stack.lower, stack.upper):
        if lattice is not None and id(lattice) not in known:
            known[id(lattice)] = tight(lattice)
    upper = known[id(stack.upper)] if stack.upper else None
    return _Stack(known[id(stack.lower)], stack.rows, upper)


def _fill(key: str, stack: _Stack, room: Room) -> list[Spot]:
    """The stack's copies where they stand on the sheet."""
    turned_in = room if stack.lower.sideways else None
    spots: list[Spot] = []
    edge = 0.0
    for number, (y, row, top) in enumerate(_rows(stack.lower, room, -stack.lower.rows[0].bottom)):
        if number == stack.rows:
            break
        edge = top
        spots += [_spot(key, x, y, turn, turned_in) for x, turn in row]
    if stack.upper is not None:
        for y, row, _ in _rows(stack.upper, room, edge - stack.upper.rows[0].bottom):
            spots += [_spot(key, x, y, turn, turned_in) for x, turn in row]
    return spots


def _spot(key: str, x: float, y: float, turn: float, sideways_in: Room | None) -> Spot:
    if sideways_in is None:
        return Spot(key, x, y, turn)
    return Spot(key, sideways_in.width_mm - y, x, turn + 90.0)
