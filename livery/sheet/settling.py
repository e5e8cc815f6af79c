"""Settling pieces that stand next to one another: exact, all at once, by a linear program.

Every pair of convex parts keeps to its own sides of the line that parts it best where it stands;
under that, the highest point of all pieces is brought as low as it goes. Pieces that overlap a
little are pushed apart by the same program.

Source: [source: nesting-compaction].
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.sheet.convex import Part, convex_parts, parting, turn_part
from livery.sheet.silhouette import Silhouette, Spot, spot_area, turned_area

Numbers = NDArray[np.float64]
Box = tuple[float, float, float, float]

_STEP_MM = 4.0
_ROUNDS = 6
_ENOUGH_MM = 0.05
_OVERLAP_MM2 = 1e-4
_DOWN, _LEFT = 1e-4, 1e-5


@cache
def _tools() -> tuple[Any, Any]:
    from scipy.optimize import linprog  # type: ignore[import-untyped] # has no types
    from scipy.sparse import coo_matrix  # type: ignore[import-untyped] # has no types

    return linprog, coo_matrix


@dataclass(frozen=True, slots=True, eq=False)
class _Solid:
    """A turned silhouette: its convex parts and its box."""

    parts: tuple[Part, ...]
    box: Box


class Solids:
    """Convex parts of silhouettes in each turn, worked out once."""

    def __init__(self, pieces: Mapping[str, Silhouette]) -> None:
        self.pieces = pieces
        self._upright: dict[str, tuple[Part, ...]] = {}
        self._known: dict[tuple[str, int], _Solid] = {}

    def of(self, spot: Spot) -> _Solid:
        """The solid of a spot's silhouette in its turn."""
        name = (spot.key, round(spot.turn_deg / 90.0) % 4)
        if name not in self._known:
            area = self.pieces[spot.key].area
            if spot.key not in self._upright:
                self._upright[spot.key] = convex_parts(area)
            parts = tuple(turn_part(part, name[1]) for part in self._upright[spot.key])
            self._known[name] = _Solid(parts, turned_area(area, spot.turn_deg).bounds)
        return self._known[name]


@dataclass(slots=True, eq=False)
class _Rows:
    """Rows of the program: at most ``right`` for the sum of entries in each."""

    row: list[int]
    column: list[int]
    value: list[float]
    right: list[float]

    def add(self, entries: Sequence[tuple[int, float]], right: float) -> None:
        number = len(self.right)
        self.row += [number] * len(entries)
        self.column += [column for column, _ in entries]
        self.value += [value for _, value in entries]
        self.right.append(right)


def settle(
    spots: Sequence[Spot], solids: Solids, width_mm: float
) -> tuple[float, list[Spot]] | None:
    """Push pieces down and apart.

    Args:
        spots: where they stand now, overlapping by little or nothing.
        solids: of their silhouettes.
        width_mm: of the room; they end within it, and above 0.

    Returns:
        The height they take and their spots, or None when they cannot be freed where they are.
    """
    at = np.array([(spot.x_mm, spot.y_mm) for spot in spots])
    shapes = [solids.of(spot) for spot in spots]
    height = float("inf")
    for _ in range(_ROUNDS):
        moved = _settle_once(at, shapes, width_mm)
        if moved is None:
            return None
        at, before, height = at + moved, height, _top(at + moved, shapes)
        if before - height < _ENOUGH_MM:
            break
    settled = [
        Spot(spot.key, round(float(x), 6), round(float(y), 6), spot.turn_deg)
        for spot, (x, y) in zip(spots, at, strict=True)
    ]
    return (height, settled) if stand_apart(settled, solids.pieces) else None


def _top(at: Numbers, shapes: Sequence[_Solid]) -> float:
    return max(float(y) + shape.box[3] for (_, y), shape in zip(at, shapes, strict=True))


def _settle_once(at: Numbers, shapes: Sequence[_Solid], width_mm: float) -> Numbers | None:
    """Best moves of no more than a step each, shape (n, 2)."""
    linprog, coo_matrix = _tools()
    count = len(shapes)
    rows = _Rows([], [], [], [])
    _keep_apart(rows, at, shapes)
    for number, shape in enumerate(shapes):
        top = -(float(at[number, 1]) + shape.box[3])
        rows.add([(2 * number + 1, 1.0), (2 * count, -1.0)], top)
    ranges = [
        bounds
        for (x, y), shape in zip(at, shapes, strict=True)
        for bounds in (
            _range(-x - shape.box[0], width_mm - x - shape.box[2]),
            _range(-y - shape.box[1], np.inf),
        )
    ]
    cost = np.full(2 * count + 1, _DOWN)
    cost[: 2 * count : 2], cost[-1] = _LEFT, 1.0
    matrix = coo_matrix((rows.value, (rows.row, rows.column)), (len(rows.right), 2 * count + 1))
    found = linprog(cost, matrix, rows.right, bounds=[*ranges, (0.0, None)], method="highs-ds")
    return None if found.status else np.asarray(found.x[:-1]).reshape(-1, 2)


def _range(least: float, most: float) -> tuple[float, float]:
    """A step either way, within limits that may lie farther than a step away."""
    low, high = max(-_STEP_MM, least), min(_STEP_MM, most)
    if least > _STEP_MM:
        high = least
    if most < -_STEP_MM:
        low = most
    return low, max(low, high)


def _keep_apart(rows: _Rows, at: Numbers, shapes: Sequence[_Solid]) -> None:
    boxes = np.array([shape.box for shape in shapes]) + np.tile(at, 2)
    for one in range(len(shapes)):
        for two in _near(boxes[one], boxes[:one]):
            shift = at[two] - at[one]
            theirs = np.array([part.box for part in shapes[two].parts]) + np.tile(shift, 2)
            for part in shapes[one].parts:
                for number in _near(np.array(part.box), theirs):
                    gap, normal = parting(part, shapes[two].parts[number], shift)
                    x, y = float(normal[0]), float(normal[1])
                    entries = [(2 * two, -x), (2 * two + 1, -y), (2 * one, x), (2 * one + 1, y)]
                    rows.add(entries, gap)


def _near(box: Numbers, boxes: Numbers) -> list[int]:
    """Which boxes are within two steps of a box."""
    reach = 2 * _STEP_MM
    apart = (boxes[:, :2] > box[2:] + reach).any(axis=1)
    apart |= (boxes[:, 2:] < box[:2] - reach).any(axis=1)
    return [int(number) for number in np.flatnonzero(~apart)]


def stand_apart(spots: Sequence[Spot], pieces: Mapping[str, Silhouette]) -> bool:
    """Whether no two silhouettes overlap."""
    areas = [spot_area(pieces[spot.key], spot) for spot in spots]
    one, two = shapely.STRtree(areas).query(areas, predicate="intersects")
    pairs = one < two
    placed = np.array(areas, dtype=object)
    shared = shapely.area(shapely.intersection(placed[one[pairs]], placed[two[pairs]]))
    return bool((shared <= _OVERLAP_MM2).all())
