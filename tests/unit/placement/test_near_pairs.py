"""Sides that may meet are found alike by comparing all and by sorting them."""

import numpy as np
import pytest
import shapely

from livery.placement import hulls, slides
from livery.placement.bounds import segments_of


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


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("gap", [0.0, 1.37])
def test_hulls_bar_what_all_their_pairs_of_sides_do(seed: int, gap: float) -> None:
    random = np.random.default_rng(seed)
    areas = [
        shapely.convex_hull(shapely.MultiPoint(random.normal(at, 6.0, (40, 2))))
        for at in ((0.0, 0.0), (random.uniform(-14.0, 14.0), 30.0))
    ]
    moving, still = (hulls.hull_of(area) for area in areas)
    assert moving.exact and still.exact
    pairs = slides.barred_slides(
        segments_of(areas[0]), segments_of(areas[1]), gap, (-1000.0, 1000.0)
    )
    found = hulls.barred_hulls(moving, still, gap)
    assert len(found) == (1 if len(pairs) else 0)
    if len(pairs):
        assert found[0] == pytest.approx((pairs[:, 0].min(), pairs[:, 1].max()), abs=1e-9)


def test_a_hollow_area_is_not_its_hull() -> None:
    notched = shapely.Polygon([(0, 0), (10, 0), (10, 10), (5, 9.999), (0, 10)])
    assert not hulls.hull_of(notched).exact
    far = hulls.hull_of(shapely.box(100.0, 0.0, 110.0, 5.0))
    assert hulls.barred_hulls(hulls.hull_of(notched), far, 3.0).shape == (0, 2)
