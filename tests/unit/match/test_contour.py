"""Contours of tolerance and ellipses of uncertainty, against their definitions."""

import math

import numpy as np
import pytest

from livery.colour import ciede2000
from livery.match.contour import tolerance_contour, uncertainty_ellipse

AB = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
AIMS = [(27, -3, -30), (56, 56, 50), (92, 0, 4), (50, 0, 0), (40, 30, -70)]


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("tolerance", [0.5, 2.0, 5.0])
def test_every_point_of_a_contour_is_at_the_tolerance(aim, tolerance):
    steps = tolerance_contour(aim, tolerance, AB)
    reached = ciede2000(aim, np.asarray(aim) + steps @ AB)
    # The formula itself jumps where hues stand 180 degrees apart: only there may it miss.
    assert np.mean(np.abs(reached - tolerance) < 1e-6) > 0.95
    assert np.all(ciede2000(aim, np.asarray(aim) + 0.98 * steps @ AB) <= tolerance)


def test_a_contour_is_no_circle():
    steps = tolerance_contour((56, 56, 50), 2.0, AB)
    radii = np.hypot(*steps.T)
    assert radii.max() > 2.0 * radii.min()


def test_an_ellipse_holds_its_share_of_a_normal():
    generator = np.random.default_rng(5)
    root = generator.normal(size=(3, 3))
    cov = root @ root.T
    plane = uncertainty_ellipse(cov, AB)
    inside = AB @ cov @ AB.T
    distances = np.einsum("pi,ij,pj->p", plane, np.linalg.inv(inside), plane)
    assert distances == pytest.approx(-2.0 * math.log(0.05))
    drawn = generator.multivariate_normal(np.zeros(2), inside, 40_000)
    share = np.mean(np.einsum("pi,ij,pj->p", drawn, np.linalg.inv(inside), drawn) < distances[0])
    assert share == pytest.approx(0.95, abs=0.005)
