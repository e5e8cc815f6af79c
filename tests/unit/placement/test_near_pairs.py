"""Sides that may meet are found alike by comparing all and by sorting them."""

import numpy as np
import pytest

from livery.placement import slides


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("gap", [0.0, 1.37])
def test_barred_moves_do_not_depend_on_how_pairs_are_found(
    monkeypatch: pytest.MonkeyPatch, seed: int, gap: float
) -> None:
    random = np.random.default_rng(seed)
    sides = random.normal(0.0, 8.0, (60, 1, 2)) + random.normal(0.0, 1.5, (60, 2, 2))
    boundary = random.normal(0.0, 25.0, (90, 1, 2)) + random.normal(0.0, 3.0, (90, 2, 2))
    boundary[0] = [(-90.0, 3.0), (90.0, 3.0)]  # one that crosses everything
    found = []
    for dense in (0, 10**9):
        monkeypatch.setattr(slides, "_DENSE", dense)
        found.append(slides.barred_slides(sides, boundary, gap, (-6.0, 9.0)))
    one, other = (intervals[np.lexsort(intervals.T)] for intervals in found)
    assert len(one) > 5
    assert np.array_equal(one, other)


def test_no_sides_bar_nothing() -> None:
    none = np.empty((0, 2, 2))
    some = np.ones((3, 2, 2))
    assert slides.barred_slides(none, some, 1.0, (-5.0, 5.0)).shape == (0, 2)
    assert slides.barred_slides(some, none, 1.0, (-5.0, 5.0)).shape == (0, 2)


def test_what_is_left_free_between_barred_moves() -> None:
    barred = np.array([[2.0, 3.0], [-9.0, -4.0], [3.0, 4.0], [2.5, 2.7], [8.0, 12.0]])
    assert slides.free_slides(barred, (-5.0, 9.0)) == [(-4.0, 2.0), (3.0, 3.0), (4.0, 8.0)]
    assert slides.free_slides(np.empty((0, 2)), (-1.0, 1.0)) == [(-1.0, 1.0)]
    assert slides.free_slides(np.array([[-2.0, 2.0]]), (-1.0, 1.0)) == []
