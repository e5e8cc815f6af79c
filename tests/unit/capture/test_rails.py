"""Two strips on one plane, as printed or loose."""

import numpy as np
import pytest

from livery.capture import make_target
from livery.capture.markers import marker_corners_mm
from livery.capture.rails import is_rails, lay_rails, window_of
from livery.geometry import Affine

SIZE = (3000, 4000)
VIEW = np.array([[5.6, 0.35, 900.0], [-0.1, 5.9, 250.0], [4e-5, 1.6e-4, 1.0]])


@pytest.fixture(scope="module")
def rails():
    return make_target("rails")[0]


def _seen(target, dx=0.0, dy=0.0, turn=0.0, noise=0.08):
    """Corners in px, the right strip moved about its middle."""
    right = [m for m in target.markers if m.x_mm > target.width_mm / 2]
    middle = np.concatenate([marker_corners_mm(m) for m in right]).mean(axis=0)
    random = np.random.default_rng(4)
    seen = {}
    for marker in target.markers:
        corners = marker_corners_mm(marker)
        if marker in right:
            corners = Affine.rotation(-turn).apply(corners - middle) + middle + (dx, dy)
        flat = np.column_stack([corners, np.ones(4)]) @ VIEW.T
        seen[marker] = flat[:, :2] / flat[:, 2:] + random.normal(0.0, noise, (4, 2))
    return seen


def test_rails_are_told_from_other_targets(rails):
    assert is_rails(rails)
    assert not is_rails(make_target("card")[0])
    assert not is_rails(make_target("chart")[0])
    x0, x1 = window_of(rails)
    assert 30.0 < x0 < 32.0 and 148.0 < x1 < 150.0


def test_strips_as_printed_are_one_target(rails):
    lie = lay_rails(_seen(rails), rails, SIZE)
    assert not lie.loose and lie.target is rails
    assert lie.plane.residual_mm < 0.05


@pytest.mark.parametrize(
    ("dx", "dy", "turn"), [(0.0, 2.5, 0.0), (1.5, -3.0, 0.4), (-2.0, 0.0, -0.6)]
)
def test_loose_strips_are_noticed_and_placed(rails, dx, dy, turn):
    lie = lay_rails(_seen(rails, dx, dy, turn), rails, SIZE)
    assert lie.loose
    assert lie.shift_mm == pytest.approx((dx, dy), abs=0.35)
    assert lie.turn_deg == pytest.approx(turn, abs=0.05)
    points = np.array([[90.0, 100.0], [90.0, 300.0], [60.0, 500.0]])
    flat = np.column_stack([points, np.ones(3)]) @ VIEW.T
    back = lie.plane.to_mm(flat[:, :2] / flat[:, 2:])
    assert np.abs(back - points).max() < 0.3
    moved = {m.id: m for m in lie.target.markers}
    assert all(moved[m.id] == m for m in rails.markers if m.x_mm < 90)
    assert all(moved[m.id] != m for m in rails.markers if m.x_mm > 90)


def test_too_few_markers_on_a_side_are_taken_as_printed(rails):
    seen = _seen(rails, dy=2.0)
    right = [m for m in seen if m.x_mm > 90]
    kept = {m: c for m, c in seen.items() if m not in right[2:]}
    assert not lay_rails(kept, rails, SIZE).loose
