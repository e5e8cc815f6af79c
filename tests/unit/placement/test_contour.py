"""Runs of sides bar the same moves as every pair of sides does."""

import numpy as np
import pytest
from crowds import lobed_ring
from numpy.typing import NDArray

from livery.geometry import Path
from livery.limits import envelop
from livery.placement.contour import Contour, barred_slides, contour_of
from livery.placement.sides import segments_of
from livery.placement.slides import barred_by_pairs, free_slides

REACH = (-1000.0, 1000.0)


def _contour(random: np.random.Generator, at: tuple[float, float], *, curved: bool) -> Contour:
    ring = lobed_ring(int(random.integers(2, 7)), random.uniform(2.0, 4.0), random.uniform(0, 6.0))
    area = envelop(ring) if curved else Path.polyline(ring.points[::3]).polygon()
    return contour_of(segments_of(area)).at(1.0, at)


def _by_every_pair(moving: Contour, still: Contour, gap: float) -> NDArray[np.float64]:
    i, j = np.indices((len(moving.sides), len(still.sides))).reshape(2, -1)
    found = barred_by_pairs(moving.sides[i], still.sides[j], gap)
    return found[found[:, 0] < found[:, 1]]


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("gap", [0.0, 1.37])
def test_runs_bar_what_all_their_pairs_of_sides_do(seed: int, gap: float) -> None:
    random = np.random.default_rng(seed)
    moving = _contour(random, (0.0, 0.0), curved=True)
    still = _contour(random, (random.uniform(-3.0, 3.0), 2.0), curved=seed % 2 == 0)
    assert len(moving.sides) > 200
    every = free_slides(_by_every_pair(moving, still, gap), REACH)
    found = free_slides(barred_slides(moving, still, gap, REACH), REACH)
    assert len(found) == len(every)
    assert np.allclose(found, every, rtol=0.0, atol=1e-12)
    within = (every[0][1] - 1.0, every[0][1] + 1.0)  # about the first end of a barred move
    near = free_slides(barred_slides(moving, still, gap, within), within)
    assert np.allclose(near, free_slides(_by_every_pair(moving, still, gap), within))


def test_no_sides_bar_nothing() -> None:
    none, some = contour_of(np.empty((0, 2, 2))), contour_of(np.ones((3, 2, 2)))
    assert barred_slides(none, some, 1.0, (-5.0, 5.0)).shape == (0, 2)
    assert barred_slides(some, none, 1.0, (-5.0, 5.0)).shape == (0, 2)
