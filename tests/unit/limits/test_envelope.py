"""The envelope covers the true outline and stands off it by no more than it says."""

import numpy as np
import pytest
from shapely.geometry import Point

from livery.geometry import Path
from livery.limits.envelope import TOLERANCE_MM, envelop


def test_straight_outlines_are_exact() -> None:
    assert envelop(Path.rectangle(-10, -5, 10, 5)).bounds == (-10, -5, 10, 5)


@pytest.mark.parametrize("reverse", [False, True])
def test_curves_are_covered_closely(reverse: bool) -> None:
    circle = Path.circle(3.0, -2.0, 30.0)
    if reverse:
        circle = Path(circle.verbs, circle.points[::-1])
    area = envelop(circle)
    fine = circle.polygon(1e-7)
    assert area.buffer(1e-9).covers(fine)
    assert area.hausdorff_distance(fine) <= TOLERANCE_MM
    assert area.bounds == pytest.approx(circle.bounds(), abs=1e-12)


def test_a_hollow_side_is_covered_too() -> None:
    points = np.array([(0, 0), (40, 0), (40, 20), (30, 5), (10, 5), (0, 20)], dtype=float)
    hollow = Path("MLLCZ", points)
    fine = hollow.polygon(1e-7)
    area = envelop(hollow)
    assert area.buffer(1e-6).covers(fine)
    assert area.hausdorff_distance(fine) <= TOLERANCE_MM


def test_holes_stay_open() -> None:
    ring = Path.circle(0, 0, 20) + Path(
        Path.circle(0, 0, 10).verbs, Path.circle(0, 0, 10).points[::-1]
    )
    assert not envelop(ring).contains(Point(0, 0))
