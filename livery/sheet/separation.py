"""Pulling overlapping pieces apart on the coarse grid by weighted moves.

Each move puts one piece where its weighted overlap with all others is least over the whole
board; pairs that keep overlapping weigh ever more (guided local search). Work is counted in
looks, one look being one pair of pieces compared at all positions of one turn, so that the same
input gives the same result on every machine.

Source: [source: nesting-search].
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from livery.sheet.overlap import Overlaps

Cell = tuple[int, int, int]

_HEAVIER, _HEAVIEST, _FADE = 1.2, 0.8, 0.95
_GAIN = 0.98
_NEAR_CELLS = 2.0
_NEAR_PAIRS = 8.0


@dataclass(slots=True, eq=False)
class Board:
    """Pieces on a grid, overlapping or not.

    Attributes:
        kinds: pattern number of each piece.
        at: row, column and quarter turn of each piece.
        looks: pairs compared so far.
    """

    overlaps: Overlaps
    rows: int
    columns: int
    kinds: list[int]
    at: list[Cell]
    chance: random.Random
    looks: int = 0
    depth: NDArray[np.float64] = field(init=False)
    weight: NDArray[np.float64] = field(init=False)

    def size(self, piece: int, quarter: int) -> tuple[int, int]:
        """Rows and columns a piece covers in a turn."""
        height, width = self.overlaps.patterns[self.kinds[piece]].masks[quarter].shape
        return height, width

    def bring_in(self) -> bool:
        """Move pieces that stand over the board's edge inside; false when one is too large."""
        for piece, (row, column, quarter) in enumerate(self.at):
            height, width = self.size(piece, quarter)
            if height > self.rows or width > self.columns:
                return False
            row = min(max(row, 0), self.rows - height)
            self.at[piece] = (row, min(max(column, 0), self.columns - width), quarter)
        return True

    def scatter(self) -> bool:
        """Put every piece anywhere on the board; false when one is too large in every turn."""
        for piece, kind in enumerate(self.kinds):
            sizes = {q: self.size(piece, q) for q in self.overlaps.patterns[kind].quarters}
            fits = [q for q, (h, w) in sizes.items() if h <= self.rows and w <= self.columns]
            if not fits:
                return False
            quarter = self.chance.choice(fits)
            height, width = sizes[quarter]
            row = self.chance.randrange(self.rows - height + 1)
            self.at[piece] = (row, self.chance.randrange(self.columns - width + 1), quarter)
        return True

    def measure(self) -> None:
        """Find the depth of every pair anew and forget weights."""
        count = len(self.at)
        self.depth, self.weight = np.zeros((count, count)), np.ones((count, count))
        for piece in range(count):
            self._measure(piece)

    def _measure(self, piece: int) -> None:
        row, column, quarter = self.at[piece]
        height, width = self.size(piece, quarter)
        for other, (base, left, turn) in enumerate(self.at):
            down, across = row - base + height - 1, column - left + width - 1
            if other == piece or down < 0 or across < 0:
                depth = 0.0
            else:
                moving = (self.kinds[piece], quarter)
                map_ = self.overlaps.of((self.kinds[other], turn), moving)
                inside = down < map_.shape[0] and across < map_.shape[1]
                depth = float(map_[down, across]) if inside else 0.0
            self.depth[piece, other] = self.depth[other, piece] = depth

    def loads(self, piece: int, quarter: int) -> NDArray[np.float32] | None:
        """Weighted overlap of a piece at every position; None when it is larger than the board."""
        height, width = self.size(piece, quarter)
        rows, columns = self.rows - height + 1, self.columns - width + 1
        if rows < 1 or columns < 1:
            return None
        # Padded by what the piece reaches beyond the place where it is laid, so that no map is cut.
        total = np.zeros((rows + 2 * (height - 1), columns + 2 * (width - 1)), dtype=np.float32)
        moving = (self.kinds[piece], quarter)
        known, weights = self.overlaps.against(moving), self.weight[piece].tolist()
        for other, (base, left, turn) in enumerate(self.at):
            if other == piece:
                continue
            placed = (self.kinds[other], turn)
            map_ = known.get(placed)
            if map_ is None:
                map_ = self.overlaps.of(placed, moving)
            target = total[base : base + map_.shape[0], left : left + map_.shape[1]]
            target += map_ if weights[other] == 1.0 else map_ * np.float32(weights[other])
        self.looks += len(self.kinds) - 1
        return total[height - 1 : self.rows, width - 1 : self.columns]

    def improve(self, piece: int, least: float | None = None) -> bool:
        """Move a piece to its least weighted overlap.

        Args:
            piece: which.
            least: what the overlap must be less than; None takes its overlap where it stands.

        Returns:
            Whether it moved.
        """
        quarters = list(self.overlaps.patterns[self.kinds[piece]].quarters)
        self.chance.shuffle(quarters)
        if least is None:
            least = float((self.depth[piece] * self.weight[piece]).sum())
        best: Cell | None = None
        for quarter in quarters:
            loads = self.loads(piece, quarter)
            if loads is None:
                continue
            first = int(loads.argmin())
            row, column = divmod(first, loads.shape[1])
            if loads[row, column] < least:
                least, best = float(loads[row, column]), (row, column, quarter)
            if least == 0.0:
                break
        if best is None:
            return False
        self.at[piece] = best
        self._measure(piece)
        return True

    def nearly_clear(self) -> bool:
        """Whether what overlap is left is for exact geometry to settle."""
        if not self.depth.any():
            return True
        return bool(self.depth.max() <= _NEAR_CELLS and self.depth.sum() / 2 <= _NEAR_PAIRS)


def separate(board: Board, patience: int, most_looks: int) -> bool:
    """Move overlapping pieces until next to nothing overlaps.

    Args:
        board: its pieces are moved.
        patience: rounds without gain before giving up.
        most_looks: the board's count at which to give up.

    Returns:
        Whether the board is nearly clear; otherwise its pieces stand where they overlapped least.
    """
    if not board.bring_in():
        return False
    board.measure()
    least, stale, kept = float(board.depth.sum()), 0, list(board.at)
    while not board.nearly_clear():
        if stale > patience or board.looks >= most_looks:
            board.at = kept
            return False
        crowded = [int(piece) for piece in np.flatnonzero(board.depth.any(axis=1))]
        board.chance.shuffle(crowded)
        for piece in crowded:
            if board.depth[piece].any():
                board.improve(piece)
        total = float(board.depth.sum())
        stale = 0 if total < _GAIN * least else stale + 1
        if total < least:
            least, kept = total, list(board.at)
        board.weight *= _FADE
        np.maximum(board.weight, 1.0, out=board.weight)
        if board.depth.any():
            heavier = _HEAVIER + _HEAVIEST * board.depth / board.depth.max()
            board.weight *= np.where(board.depth > 0.0, heavier, 1.0)
    return True
