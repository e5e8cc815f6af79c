"""How deep two silhouettes overlap at every relative position, on a coarse grid.

The grid is for finding where pieces might go; exact geometry settles where they do.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.sheet.raster import Mask
from livery.sheet.silhouette import Silhouette, Spot, turned_area

Depths = NDArray[np.uint8]
Turned = tuple[int, int]

_DEEPEST = 255
_MOST_KEPT_BYTES = 200_000_000


@cache
def _tools() -> tuple[Any, Any]:
    from scipy import fft, ndimage  # type: ignore[import-untyped] # has no types

    return fft, ndimage


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """A silhouette on the coarse grid, its box centred on its cells.

    Attributes:
        piece: the silhouette.
        cell_mm: pitch of the grid.
        masks: cells whose middle it covers, one mask a quarter turn counter-clockwise.
        quarters: quarter turns worth trying: of those allowed that look alike, one.
    """

    piece: Silhouette
    cell_mm: float
    masks: tuple[Mask, ...]
    quarters: tuple[int, ...]

    def spot(self, row: int, column: int, quarter: int) -> Spot:
        """The spot of its mask at a cell."""
        x0, y0, x1, y1 = turned_area(self.piece.area, 90.0 * quarter).bounds
        height, width = self.masks[quarter].shape
        x = (column + width / 2) * self.cell_mm - (x0 + x1) / 2
        y = (row + height / 2) * self.cell_mm - (y0 + y1) / 2
        return Spot(self.piece.key, x, y, 90.0 * quarter)

    def cell(self, spot: Spot) -> tuple[int, int, int]:
        """Row, column and quarter turn nearest to a spot."""
        quarter = round(spot.turn_deg / 90.0) % 4
        x0, y0, x1, y1 = turned_area(self.piece.area, 90.0 * quarter).bounds
        height, width = self.masks[quarter].shape
        row = round((spot.y_mm + (y0 + y1) / 2) / self.cell_mm - height / 2)
        column = round((spot.x_mm + (x0 + x1) / 2) / self.cell_mm - width / 2)
        return row, column, quarter


def pattern_of(piece: Silhouette, cell_mm: float) -> Pattern:
    """Lay a silhouette on a grid of that pitch."""
    x0, y0, x1, y1 = piece.area.bounds
    columns = max(1, math.ceil((x1 - x0) / cell_mm - 1e-9))
    rows = max(1, math.ceil((y1 - y0) / cell_mm - 1e-9))
    x = (np.arange(columns) + 0.5 - columns / 2) * cell_mm + (x0 + x1) / 2
    y = (np.arange(rows) + 0.5 - rows / 2) * cell_mm + (y0 + y1) / 2
    shapely.prepare(piece.area)
    mask = shapely.contains_xy(piece.area, x[None, :], y[:, None])
    if not mask.any():
        mask = np.ones_like(mask)
    masks = tuple(np.ascontiguousarray(np.rot90(mask, -quarter)) for quarter in range(4))
    return Pattern(piece, cell_mm, masks, _telling(masks, piece.turns_deg))


def _telling(masks: Sequence[Mask], turns_deg: Sequence[float]) -> tuple[int, ...]:
    """Quarter turns allowed, of those that look alike the first only."""
    kept: list[int] = []
    for quarter in (round(turn / 90.0) % 4 for turn in turns_deg):
        if not any(np.array_equal(masks[quarter], masks[other]) for other in kept):
            kept.append(quarter)
    return tuple(kept)


class Overlaps:
    """Depth maps of pairs of patterns, each worked out when first asked for."""

    def __init__(self, patterns: Sequence[Pattern]) -> None:
        self.patterns = tuple(patterns)
        self._first: dict[tuple[int, int, int], Depths] = {}
        self._known: dict[Turned, dict[Turned, Depths]] = {}
        self._kept = 0

    def of(self, placed: Turned, moving: Turned) -> Depths:
        """Depth at each offset of the moving mask's first cell from the placed one's.

        Args:
            placed: pattern number and quarter turn of the mask that stands still.
            moving: the same of the other.

        Returns:
            cells to move before the two are clear, shape (h + H − 1, w + W − 1); its first cell
            is the offset (1 − H, 1 − W), H × W being the moving mask.
        """
        known = self.against(moving).get(placed)
        if known is None:
            if self._kept >= _MOST_KEPT_BYTES:
                for maps in self._known.values():
                    maps.clear()
                self._kept = 0
            known = self._known[moving][placed] = self._make(*placed, *moving)
            self._kept += known.nbytes
        return known

    def against(self, moving: Turned) -> dict[Turned, Depths]:
        """What is known so far for a moving mask, by the mask that stands still."""
        return self._known.setdefault(moving, {})

    def _make(self, placed: int, placed_turn: int, moving: int, moving_turn: int) -> Depths:
        """From the pair's map with the placed one upright, turned or reversed as a whole."""
        if placed > moving:
            other = self._make(moving, moving_turn, placed, placed_turn)
            return np.ascontiguousarray(other[::-1, ::-1])
        name = (placed, moving, (moving_turn - placed_turn) % 4)
        if name not in self._first:
            one, two = self.patterns[placed].masks[0], self.patterns[moving].masks[name[2]]
            self._first[name] = _depths(one, two)
        return np.ascontiguousarray(np.rot90(self._first[name], -placed_turn))


def _depths(placed: Mask, moving: Mask) -> Depths:
    """Chessboard distance to the nearest clear offset, 0 where clear, 255 at most."""
    fft, ndimage = _tools()
    rows = placed.shape[0] + moving.shape[0] - 1
    columns = placed.shape[1] + moving.shape[1] - 1
    size = (fft.next_fast_len(rows, True), fft.next_fast_len(columns, True))
    one = fft.rfft2(placed.astype(np.float32), size)
    two = fft.rfft2(moving[::-1, ::-1].astype(np.float32), size)
    touching = np.zeros((rows + 2, columns + 2), dtype=bool)
    touching[1:-1, 1:-1] = fft.irfft2(one * two, size)[:rows, :columns] > 0.5
    depths = ndimage.distance_transform_cdt(touching)[1:-1, 1:-1]
    return np.asarray(np.minimum(depths, _DEEPEST), dtype=np.uint8)
