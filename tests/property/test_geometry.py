"""What holds of every affine map and of every curve."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from strategies import affines, cubics

from livery.geometry import Affine, Path

POINTS = np.array([[0.0, 0.0], [1.0, 2.0], [-3.5, 7.25]])


@given(affines(), affines())
def test_composition_applies_the_inner_map_first(outer: Affine, inner: Affine) -> None:
    twice = outer.apply(inner.apply(POINTS))
    assert (outer @ inner).apply(POINTS) == pytest.approx(twice, abs=1e-6)


@given(affines().filter(lambda affine: abs(affine.determinant) > 1.0))
def test_the_inverse_undoes(affine: Affine) -> None:
    assert affine.inverse().apply(affine.apply(POINTS)) == pytest.approx(POINTS, abs=1e-6)


@given(cubics())
def test_bounds_agree_with_the_curve_followed_closely(path: Path) -> None:
    t = np.linspace(0, 1, 4001)[:, None]
    p0, p1, p2, p3 = path.points
    s = 1 - t
    curve = s**3 * p0 + 3 * s**2 * t * p1 + 3 * s * t**2 * p2 + t**3 * p3
    x0, y0, x1, y1 = path.bounds()
    low, high = curve.min(axis=0), curve.max(axis=0)
    assert (low >= np.array([x0, y0]) - 1e-9).all()
    assert (high <= np.array([x1, y1]) + 1e-9).all()
    assert low == pytest.approx([x0, y0], abs=1e-3)
    assert high == pytest.approx([x1, y1], abs=1e-3)


@given(st.floats(1e-3, 0.5))
def test_flattening_stays_within_its_tolerance(tolerance: float) -> None:
    circle = Path.circle(0.0, 0.0, 50.0)
    fine = shapely.LinearRing(circle.flattened(1e-5)[0])
    coarse = shapely.LinearRing(circle.flattened(tolerance)[0])
    assert shapely.hausdorff_distance(fine, coarse, densify=0.2) <= tolerance
