"""Making a sheet of a nesting shorter by a counted amount of work.

Work is counted in looks (see ``separation``), never in seconds.

Source: amounts of work, cuts and patience [source: workshop-choice], tried on random sets.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from livery.sheet.overlap import Overlaps, pattern_of
from livery.sheet.separation import Board, Cell, separate
from livery.sheet.settling import Solids, settle
from livery.sheet.silhouette import Room, Silhouette, Spot, area_of, spot_area

_FINEST_MM, _COARSEST_MM = 1.0, 2.0
_CELLS_ACROSS = 10.0
_MOST_CELLS = 60_000.0
_FIRST_CUT, _LEAST_CUT, _SOFTER = 0.02, 0.002, 0.7
_PATIENCE = 20
_RETRIES = 10
_LEAST_GAIN_MM = 0.01
SHORT_PATIENCE = 8
_HUNTED, _ROUNDS_TO_HUNT = 0.85, 60
_HUNT_RETRIES, _MOST_STARTS = 12, 16
_HUNTED_CUTS = (0.02, 0.0, -0.01, -0.02)
_MOST_FAILURES = 40
LOOKS_TO_SETTLE = 300


@dataclass(slots=True, eq=False)
class Workshop:
    """What attempts on one run share.

    Attributes:
        pieces: silhouettes by key.
        room: the sheets' usable area.
        looks: work left.
    """

    pieces: Mapping[str, Silhouette]
    room: Room
    looks: int
    overlaps: Overlaps = field(init=False)
    solids: Solids = field(init=False)
    number: dict[str, int] = field(init=False)

    def __post_init__(self) -> None:
        keys = sorted(self.pieces)
        sides = sorted(_short_side(self.pieces[key]) for key in keys)
        cell = min(max(sides[len(sides) // 2] / _CELLS_ACROSS, _FINEST_MM), _COARSEST_MM)
        cell = max(cell, (self.room.width_mm * self.room.height_mm / _MOST_CELLS) ** 0.5)
        self.overlaps = Overlaps([pattern_of(self.pieces[key], cell) for key in keys])
        self.number = {key: n for n, key in enumerate(keys)}
        self.solids = Solids(self.pieces)

    @property
    def cell_mm(self) -> float:
        """Pitch of the coarse grid."""
        return self.overlaps.patterns[0].cell_mm

    def board(self, spots: Sequence[Spot], height_mm: float, chance: random.Random) -> Board:
        """Spots on the coarse grid of a room of that height."""
        rows = max(int(height_mm / self.cell_mm), 1)
        columns = max(int(self.room.width_mm / self.cell_mm), 1)
        kinds = [self.number[spot.key] for spot in spots]
        return Board(self.overlaps, rows, columns, kinds, self.cells(spots), chance)

    def cells(self, spots: Sequence[Spot]) -> list[Cell]:
        """Nearest cells of spots."""
        return [self.overlaps.patterns[self.number[spot.key]].cell(spot) for spot in spots]

    def quarters(self, spot: Spot) -> tuple[int, ...]:
        """Quarter turns worth trying for a spot's silhouette."""
        return self.overlaps.patterns[self.number[spot.key]].quarters

    def free(self, board: Board, spots: Sequence[Spot]) -> tuple[float, list[Spot]] | None:
        """Exact spots of a nearly clear board, with the height they take."""
        rough = [
            self.overlaps.patterns[kind].spot(*cell)
            for kind, cell in zip(board.kinds, board.at, strict=True)
        ]
        return settle(rough, self.solids, self.room.width_mm)


def _short_side(piece: Silhouette) -> float:
    x0, y0, x1, y1 = piece.area.bounds
    return min(x1 - x0, y1 - y0)


def height_of(spots: Sequence[Spot], pieces: Mapping[str, Silhouette]) -> float:
    """The top of the highest silhouette, mm."""
    return max(spot_area(pieces[spot.key], spot).bounds[3] for spot in spots)


def shorten(spots: list[Spot], shop: Workshop, most_looks: int, seed: int = 0) -> list[Spot]:
    """Bring the highest silhouette of one sheet as low as the work allows.

    Few silhouettes are scattered and pulled apart again and again, as where they start decides
    how low they can come; many, and the best found of few, are pressed lower where they stand.

    Args:
        spots: a sound sheet.
        shop: of the run; its looks are used up.
        most_looks: how many of them at most.
        seed: of the order in which pieces are tried.

    Returns:
        Sound spots of the same silhouettes, none higher than before.
    """
    chance, least = random.Random(seed), _least_height(spots, shop)
    best = height_of(spots, shop.pieces), list(spots)
    settled = settle(spots, shop.solids, shop.room.width_mm)
    best = _lower(best, settled)
    if len(spots) < 2 or best[0] < least + _LEAST_GAIN_MM:
        return best[1]
    allowed = min(most_looks, shop.looks)
    stop, hunted = shop.looks - allowed, round(_HUNTED * allowed)
    if hunted > _ROUNDS_TO_HUNT * sum(len(shop.quarters(spot)) for spot in spots) * len(spots):
        best = _hunt(best, shop, shop.looks - hunted, chance)
    return _press(best, shop, stop, chance)[1]


Found = tuple[float, list[Spot]]


def _least_height(spots: Sequence[Spot], shop: Workshop) -> float:
    """What no nesting can come under: the whole area side by side, or the tallest silhouette."""
    tallest = 0.0
    for key in {spot.key for spot in spots}:
        x0, y0, x1, y1 = shop.pieces[key].area.bounds
        upright = any(turn % 180.0 == 0.0 for turn in shop.pieces[key].turns_deg)
        lying = any(turn % 180.0 == 90.0 for turn in shop.pieces[key].turns_deg)
        sides = ([y1 - y0] if upright else []) + ([x1 - x0] if lying else [])
        tallest = max(tallest, min(sides))
    return max(tallest, area_of(spots, shop.pieces) / shop.room.width_mm)


def _lower(best: Found, settled: Found | None) -> Found:
    """The settled spots where they are lower."""
    return settled if settled is not None and settled[0] < best[0] - _LEAST_GAIN_MM else best


def _try(board: Board, best: Found, patience: int, shop: Workshop, stop: int) -> Found:
    """Pull a board's pieces apart and settle them; what was best where that is no lower."""
    if not separate(board, patience, shop.looks - stop):
        return best
    shop.looks -= LOOKS_TO_SETTLE * len(best[1])
    return _lower(best, shop.free(board, best[1]))


def _hunt(best: Found, shop: Workshop, stop: int, chance: random.Random) -> Found:
    """Scatter pieces on about the height that is best so far, pull them apart, settle, repeat."""
    step, failed, everyone = 0, 0, range(len(best[1]))
    while shop.looks > stop and failed < _MOST_STARTS:
        board = shop.board(best[1], best[0] * (1.0 - _HUNTED_CUTS[step]), chance)
        before = best[0]
        for _ in range(_HUNT_RETRIES if board.scatter() else 0):
            best = _try(board, best, SHORT_PATIENCE, shop, stop)
            if board.looks >= shop.looks - stop:
                break
            _swap(board, *chance.sample(everyone, 2))
        shop.looks -= board.looks + len(best[1])
        if best[0] == before:
            step, failed = min(step + 1, len(_HUNTED_CUTS) - 1), failed + 1
        else:
            failed = 0
    return best


def _press(best: Found, shop: Workshop, stop: int, chance: random.Random) -> Found:
    """Lower the room's height little by little, pulling apart what then overlaps."""
    cut, failed = _FIRST_CUT, 0
    large = sorted(range(len(best[1])), key=lambda n: -shop.pieces[best[1][n].key].area.area)
    large = large[: max(2, len(large) // 2)]
    while shop.looks > stop and failed < _MOST_FAILURES:
        board = shop.board(best[1], best[0] * (1.0 - cut), chance)
        before = best[0]
        for _ in range(_RETRIES):
            best = _try(board, best, _PATIENCE, shop, stop)
            if best[0] < before or board.looks >= shop.looks - stop:
                break
            _swap(board, *chance.sample(large, 2))
        shop.looks -= board.looks + len(best[1])
        if best[0] == before:
            cut, failed = max(cut * _SOFTER, _LEAST_CUT), failed + 1
        else:
            failed = 0
    return best


def _swap(board: Board, one: int, two: int) -> None:
    """Two pieces in each other's place, each in its own turn."""
    first, second = board.at[one], board.at[two]
    board.at[one] = (second[0], second[1], first[2])
    board.at[two] = (first[0], first[1], second[2])
