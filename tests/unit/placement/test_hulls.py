"""Hulls bar the same moves as every pair of their sides does."""

import numpy as np
import pytest
import shapely

from livery.placement.contour import barred_slides, contour_of
from livery.placement.hulls import barred_hulls, hull_of
from livery.placement.sides import segments_of


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("gap", [0.0, 1.37])
def test_hulls_bar_what_all_their_pairs_of_sides_do(seed: int, gap: float) -> None:
    random = np.random.default_rng(seed)
    areas = [
        shapely.convex_hull(shapely.MultiPoint(random.normal(at, 6.0, (40, 2))))
        for at in ((0.0, 0.0), (random.uniform(-14.0, 14.0), 30.0))
    ]
    moving, still = (hull_of(area) for area in areas)
    assert moving.exact and still.exact
    contours = [contour_of(segments_of(area)) for area in areas]
    pairs = barred_slides(*contours, gap, (-1000.0, 1000.0))
    found = barred_hulls(moving, still, gap)
    assert len(found) == (1 if len(pairs) else 0)
    if len(pairs):
        assert found[0] == pytest.approx((pairs[:, 0].min(), pairs[:, 1].max()), abs=1e-9)


def test_a_hollow_area_is_not_its_hull() -> None:
    notched = shapely.Polygon([(0, 0), (10, 0), (10, 10), (5, 9.999), (0, 10)])
    assert not hull_of(notched).exact
    far = hull_of(shapely.box(100.0, 0.0, 110.0, 5.0))
    assert barred_hulls(hull_of(notched), far, 3.0).shape == (0, 2)
