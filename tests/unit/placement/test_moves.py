"""Moves of several decals at once, against a grid."""

from itertools import product

import numpy as np
import pytest

from livery.placement.moves import moves_exist, smallest_moves

INF = float("inf")


def test_the_first_moves_least_then_the_second() -> None:
    assert smallest_moves([[(-5, 5)], [(-5, 5)]], {(0, 1): [(4, INF)]}) == (0.0, 4.0)
    assert smallest_moves([[(-5, 5)], [(-5, 3)]], {(0, 1): [(4, INF)]}) == (-1.0, 3.0)


def test_one_decal_may_pass_another() -> None:
    apart = {(0, 1): [(-INF, -6.0), (4.0, INF)]}
    assert smallest_moves([[(0, 0)], [(-9, 2)]], apart) == (0.0, -6.0)


def test_what_cannot_be_met_is_said() -> None:
    own, apart = [[(-1, 1)], [(-1, 1)]], {(0, 1): [(2.5, INF)]}
    assert smallest_moves(own, apart) is None
    assert not moves_exist(own, apart)
    assert smallest_moves([[]], {}) is None


def test_moves_that_just_meet_are_met() -> None:
    assert smallest_moves([[(-1, 1)], [(-1, 1)]], {(0, 1): [(2.0, INF)]}) == (-1.0, 1.0)


@pytest.mark.parametrize("seed", range(40))
def test_no_grid_point_is_missed(seed: int) -> None:
    random = np.random.default_rng(seed)

    def draw(low: int, high: int) -> list[tuple[float, float]]:
        ends = np.sort(random.choice(np.arange(low, high), 4, replace=False)).astype(float)
        pairs = [(float(ends[0]), float(ends[1])), (float(ends[2]), float(ends[3]))]
        return pairs[: int(random.integers(1, 3))]

    own = [draw(-6, 7) for _ in range(3)]
    apart = {pair: draw(-9, 10) for pair in ((0, 1), (0, 2), (1, 2))}

    def within(value: float, intervals: list[tuple[float, float]]) -> bool:
        return any(low <= value <= high for low, high in intervals)

    grid = [
        moves
        for moves in product(np.arange(-6.0, 7.0), repeat=3)
        if all(within(move, intervals) for move, intervals in zip(moves, own, strict=True))
        and all(within(moves[j] - moves[i], ivs) for (i, j), ivs in apart.items())
    ]
    found = smallest_moves(own, apart)
    assert moves_exist(own, apart) is (found is not None)
    if not grid:
        assert found is None  # ends are whole numbers, so that a solution has a whole vertex
        return
    best = min(grid, key=lambda moves: [(abs(move), move) for move in moves])
    assert found == pytest.approx(best)
