import math

import numpy as np
import pytest
import shapely

from livery.geometry import Affine, FillRule, Path


def test_a_circle_is_true_to_three_parts_in_ten_thousand() -> None:
    circle = Path.circle(3.0, -2.0, 10.0)
    radii = np.hypot(*(circle.flattened(1e-5)[0] - (3.0, -2.0)).T)
    assert radii == pytest.approx(10.0, rel=3e-4)
    assert circle.bounds() == pytest.approx((-7.0, -12.0, 13.0, 8.0))


def test_bounds_are_those_of_the_curve_not_of_its_control_points() -> None:
    arch = Path("MC", np.array([[0, 0], [0, 4], [4, 4], [4, 0]], dtype=float))
    assert arch.bounds() == pytest.approx((0.0, 0.0, 4.0, 3.0))


def test_a_curve_after_a_closed_one_starts_where_that_began() -> None:
    points = np.array([[0, 0], [4, 0], [4, 4], [0, -4], [4, -4], [4, 0]], dtype=float)
    # From (0, 0) its y is -12 t (1 - t), which goes down to -3; from (4, 4) it would not.
    assert Path("MLLZC", points).bounds() == pytest.approx((0.0, -3.0, 4.0, 4.0))


def _nested(rule: FillRule, inner: Path) -> float:
    outer = Path.circle(0, 0, 10)
    both = Path(outer.verbs + inner.verbs, np.concatenate([outer.points, inner.points]), rule)
    return both.polygon(1e-4).area / (math.pi * 100)


def test_fill_rules_decide_what_is_a_hole() -> None:
    same = Path.circle(0, 0, 5)
    turned = same.transformed(Affine.mirror_x())
    assert _nested(FillRule.NONZERO, same) == pytest.approx(1.0, rel=1e-3)
    assert _nested(FillRule.NONZERO, turned) == pytest.approx(0.75, rel=1e-3)
    assert _nested(FillRule.EVENODD, same) == pytest.approx(0.75, rel=1e-3)


def test_a_figure_of_eight_fills_both_lobes_under_nonzero() -> None:
    eight = Path.polyline([(0, 0), (2, 2), (2, 0), (0, 2)])
    assert eight.polygon().area == pytest.approx(2.0)


def test_a_pentagram_fills_its_middle_only_under_nonzero() -> None:
    turn = [math.radians(90 + 144 * k) for k in range(5)]
    star = np.array([(math.cos(t), math.sin(t)) for t in turn])
    filled = Path("MLLLLZ", star, FillRule.NONZERO).polygon()
    holed = Path("MLLLLZ", star, FillRule.EVENODD).polygon()
    assert filled.contains(shapely.Point(0, 0))
    assert not holed.contains(shapely.Point(0, 0))


def test_polygons_come_back_from_paths() -> None:
    ring = shapely.Point(0, 0).buffer(5).difference(shapely.Point(0, 0).buffer(2))
    assert Path.from_geometry(ring).polygon().symmetric_difference(ring).area < 1e-9


def test_path_data_is_short_and_rounded() -> None:
    path = Path("MLCZ", np.array([[0, 0], [1 / 3, -0.00001], [1, 2], [3, 4], [5, 6]], dtype=float))
    assert path.svg_d(3) == "M0 0L0.333 0C1 2 3 4 5 6Z"


def test_a_path_that_does_not_add_up_is_refused() -> None:
    with pytest.raises(ValueError, match="needs 2 points"):
        Path("ML", np.zeros((1, 2)))
    with pytest.raises(ValueError, match="none of M, L, C, Z"):
        Path("MQ", np.zeros((1, 2)))
    with pytest.raises(ValueError, match="start with a move"):
        Path("L", np.zeros((1, 2)))
    with pytest.raises(ValueError, match="no bounds"):
        Path("", np.empty((0, 2))).bounds()


def test_points_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        Path.circle(0, 0, 1).points[0] = 3
