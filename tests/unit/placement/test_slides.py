"""What barred moves leave free, and which sides may bar any."""

import numpy as np
import pytest

from livery.placement.slides import barred_at_both, barred_by_pairs, free_slides


def test_what_is_left_free_between_barred_moves() -> None:
    barred = np.array([[2.0, 3.0], [-9.0, -4.0], [3.0, 4.0], [2.5, 2.7], [8.0, 12.0]])
    assert free_slides(barred, (-5.0, 9.0)) == [(-4.0, 2.0), (3.0, 3.0), (4.0, 8.0)]
    assert free_slides(np.empty((0, 2)), (-1.0, 1.0)) == [(-1.0, 1.0)]
    assert free_slides(np.array([[-2.0, 2.0]]), (-1.0, 1.0)) == []


@pytest.mark.parametrize("gap", [0.0, 1.37])
def test_no_pair_that_bars_a_move_at_both_scales_is_left_out(gap: float) -> None:
    random = np.random.default_rng(5)
    sides = random.normal(0.0, 8.0, (60, 1, 2)) + random.normal(0.0, 1.5, (60, 2, 2))
    boundary = random.normal(0.0, 25.0, (90, 1, 2)) + random.normal(0.0, 3.0, (90, 2, 2))
    boundary[0] = [(-90.0, 3.0), (90.0, 3.0)]  # one that crosses everything
    i, j = np.indices((60, 90)).reshape(2, -1)
    every = barred_by_pairs(sides[i], boundary[j], gap)
    every = every[(every[:, 0] < every[:, 1]) & (every[:, 1] > -6.0) & (every[:, 0] < 9.0)]
    found = barred_at_both((sides, sides), boundary, gap, (-6.0, 9.0))
    assert len(every) > 5
    assert np.array_equal(found[:, 0], found[:, 1])
    assert {tuple(one) for one in every} <= {tuple(one) for one in found[:, 0]}


def test_no_sides_bar_nothing() -> None:
    none, some = np.empty((0, 2, 2)), np.ones((3, 2, 2))
    assert barred_at_both((none, none), some, 1.0, (-5.0, 5.0)).shape == (0, 2, 2)
    assert barred_at_both((some, some), none, 1.0, (-5.0, 5.0)).shape == (0, 2, 2)
