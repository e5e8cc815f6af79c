"""Many copies of one silhouette: a regular tiling that fills whole sheets."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.sheet.raster import Area
from livery.sheet.silhouette import Room, Silhouette, Spot

_STEP_MM = 0.1
_MARGIN_MM = 1e-3

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    """What repeats along a row: areas with their turns, and the pitch.

    Attributes:
        parts: (area, turn) from the row's start; the first box starts at x = 0.
        offsets: x of each part's frame.
    """

    parts: tuple[tuple[Area, float], ...]
    offsets: tuple[float, ...]
    pitch: float


def tile(piece: Silhouette, room: Room) -> list[Spot]:
    """The tiling that seats most copies on one sheet.

    Tries every allowed turn, rows of one turn, rows of which every second is turned half round,
    and rows whose neighbours are; rows shift against each other by whatever sets them closest.
    """
    best: list[Spot] = []
    for turn in piece.turns_deg:
        if turn >= 180.0:
            continue
        partners = [turn] + ([turn + 180.0] if turn + 180.0 in piece.turns_deg else [])
        for partner in partners:
            for rows in _row_pairs(piece.area, turn, partner):
                spots = _fill(piece.key, rows, room)
                best = spots if len(spots) > len(best) else best
    return best


def _row_pairs(area: Area, turn: float, partner: float) -> list[tuple[_Row, _Row]]:
    one = _turned(area, turn)
    if turn == partner:
        row = _Row(((one, turn),), (0.0,), _beside(one, one))
        return [(row, row)]
    two = _turned(area, partner)
    alike = _Row(((one, turn),), (0.0,), _beside(one, one))
    other = _Row(((two, partner),), (0.0,), _beside(two, two))
    step = _beside(one, two)
    pitch = max(step + _beside(two, one), _beside(one, one), _beside(two, two))
    mixed = _Row(((one, turn), (two, partner)), (0.0, step), pitch)
    return [(alike, other), (mixed, mixed)]


def _turned(area: Area, turn: float) -> Area:
    return shapely.affinity.rotate(area, turn, origin=(0, 0)) if turn else area


def _profile(area: Area, axis: int, start: float, count: int) -> tuple[Numbers, Numbers]:
    """Least and greatest extent along the other axis at steps of ``axis``; nan outside.

    Each step takes in its whole width, so nothing narrow is missed.
    """
    low, high = np.full(count, np.nan), np.full(count, np.nan)
    rings = shapely.get_coordinates(shapely.segmentize(area.boundary, _STEP_MM / 2))
    along, across = rings[:, axis], rings[:, 1 - axis]
    index = np.floor((along - start) / _STEP_MM).astype(int)
    for shift in (-1, 0, 1):
        at = np.clip(index + shift, 0, count - 1)
        np.fmin.at(low, at, across)
        np.fmax.at(high, at, across)
    return low, high


def _beside(left: Area, right: Area) -> float:
    """Least dx at which ``right`` moved by (dx, 0) is clear of ``left``."""
    start = min(left.bounds[1], right.bounds[1]) - _STEP_MM
    stop = max(left.bounds[3], right.bounds[3]) + _STEP_MM
    count = math.ceil((stop - start) / _STEP_MM) + 1
    _, reach = _profile(left, 1, start, count)
    begin, _ = _profile(right, 1, start, count)
    return float(np.nanmax(reach - begin, initial=0.0)) + _MARGIN_MM


def _fill(key: str, rows: tuple[_Row, _Row], room: Room) -> list[Spot]:
    """Stack rows, each shifted to sit lowest on the one below, until the sheet is full."""
    first, second = rows
    up, up_shift = _above(first, second)
    back, back_shift = _above(second, first)
    spots: list[Spot] = []
    y = -min(part.bounds[1] for part, _ in first.parts)
    shift, number = 0.0, 0
    while True:
        row = (first, second)[number % 2]
        top = max(part.bounds[3] for part, _ in row.parts)
        if y + top > room.height_mm + 1e-9:
            return spots
        spots += _row_spots(key, row, shift, y, room)
        y += up if number % 2 == 0 else back
        shift += up_shift if number % 2 == 0 else back_shift
        number += 1


def _row_spots(key: str, row: _Row, shift: float, y: float, room: Room) -> list[Spot]:
    spots = []
    for (part, turn), offset in zip(row.parts, row.offsets, strict=True):
        x0, _, x1, _ = part.bounds
        start = (shift + offset + x0) % row.pitch
        count = math.floor((room.width_mm - (x1 - x0) - start) / row.pitch + 1e-9) + 1
        spots += [Spot(key, start - x0 + i * row.pitch, y, turn) for i in range(max(count, 0))]
    return sorted(spots, key=lambda spot: spot.x_mm)


def _above(below: _Row, over: _Row) -> tuple[float, float]:
    """Least rise of ``over`` above ``below`` with the shift that allows it.

    The rise is also no less than half the taller row, so that a row never reaches the one two
    below it.
    """
    pitch = max(below.pitch, over.pitch)
    if abs(below.pitch - over.pitch) > 2 * _MARGIN_MM:
        rise = max(p.bounds[3] for p, _ in below.parts) - min(p.bounds[1] for p, _ in over.parts)
        return rise + _MARGIN_MM, 0.0
    count = max(1, round(pitch / _STEP_MM))
    step = pitch / count
    reach = _wrapped(below, pitch, count, step, upper=True)
    floor = _wrapped(over, pitch, count, step, upper=False)
    doubled = np.concatenate([floor, floor])
    rolled = np.lib.stride_tricks.sliding_window_view(doubled, count)[count:0:-1]
    rises = (reach - rolled).max(axis=1)
    best = int(np.argmin(np.round(rises, 6)))
    tall = max(p.bounds[3] - p.bounds[1] for p, _ in (*below.parts, *over.parts))
    return max(float(rises[best]) + _MARGIN_MM, tall / 2.0), best * step


def _wrapped(row: _Row, pitch: float, count: int, step: float, *, upper: bool) -> Numbers:
    """A row's upper or lower edge over one pitch."""
    edge = np.full(count, -np.inf if upper else np.inf)
    for (part, _), offset in zip(row.parts, row.offsets, strict=True):
        points = shapely.get_coordinates(shapely.segmentize(part.boundary, step / 2))
        index = np.floor((points[:, 0] + offset) / step).astype(int)
        for shift in (-1, 0, 1):
            at = (index + shift) % count
            (np.maximum if upper else np.minimum).at(edge, at, points[:, 1])
    return edge
