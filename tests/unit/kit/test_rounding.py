"""Rounded corners."""

from __future__ import annotations

import math

import numpy as np
import pytest

from livery.kit.rounding import round_corners

SQUARE = [(0, 0), (10, 0), (10, 10), (0, 10)]


def test_a_corner_of_radius_0_stays_sharp():
    path = round_corners(SQUARE, 0.0)
    assert path.verbs == "MLLLZ"
    assert np.array_equal(path.points, SQUARE)


def test_a_rounded_square_loses_its_corners_area():
    area = round_corners(SQUARE, 3.0).polygon(1e-4).area
    assert area == pytest.approx(100 - 4 * 9 * (1 - math.pi / 4), rel=1e-3)


def test_a_corner_takes_at_most_half_a_side():
    circle = round_corners(SQUARE, 99.0).polygon(1e-4)
    assert circle.area == pytest.approx(math.pi * 25, rel=1e-3)


def test_a_corner_may_name_its_own_radius():
    path = round_corners([(0, 0, 0), *SQUARE[1:]], 2.0)
    assert tuple(path.points[0]) == (0.0, 0.0)
    assert path.verbs == "MLCLCLCZ"
