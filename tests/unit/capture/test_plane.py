"""The target's plane from its markers: what blur does to corners, and few or rowed markers."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from livery.capture import make_target
from livery.capture.markers import marker_corners_mm
from livery.capture.plane import crossing, plane_from_markers

PICTURE = (2400, 1800)


@pytest.fixture(scope="module")
def card():
    return make_target("card")[0]


def _seen(bench, target, markers, *, pull=0.0, noise=0.0, tilt=25.0):
    """Corners of markers as a tilted camera sees them, each drawn in by ``pull`` px."""
    view = bench.view_of(target, PICTURE, tilt, 20.0)
    random = np.random.default_rng(4)
    seen = {}
    for marker in markers:
        px = cv2.perspectiveTransform(marker_corners_mm(marker)[None], view)[0]
        way = px.mean(axis=0) - px
        px = px + pull * way / np.linalg.norm(way, axis=1)[:, None]
        seen[marker] = px + noise * random.normal(size=(4, 2))
    return view, seen


def _error_mm(target, view, plane):
    corners = np.array([(0, 0), (target.width_mm, 0), (target.width_mm, target.height_mm)], float)
    px = cv2.perspectiveTransform(corners[None], view)[0]
    return float(np.abs(plane.to_mm(px) - corners).max())


def test_where_diagonals_cross_is_a_markers_middle_in_any_view(bench, card):
    marker = card.markers[0]
    view, seen = _seen(bench, card, [marker])
    middle = cv2.perspectiveTransform(np.array([[[marker.x_mm, marker.y_mm]]]), view)[0, 0]
    assert np.abs(crossing(seen[marker]) - middle).max() < 1e-6


def test_blur_that_draws_corners_in_moves_no_plane(bench, card):
    view, seen = _seen(bench, card, card.markers, pull=3.0)
    plane = plane_from_markers(seen, PICTURE)
    assert _error_mm(card, view, plane) < 0.02
    assert plane.residual_mm < 0.02


def test_half_a_chart_is_read_though_most_of_its_markers_stand_in_a_row(bench):
    chart = make_target("chart")[0]
    half = [marker for marker in chart.markers if marker.x_mm < chart.width_mm / 2]
    for left_out in (None, *half):
        shown = [marker for marker in half if marker is not left_out]
        view, seen = _seen(bench, chart, shown)
        assert _error_mm(chart, view, plane_from_markers(seen, PICTURE)) < 0.1


def test_markers_in_a_row_are_read_by_their_corners(bench, card):
    top = min(marker.y_mm for marker in card.markers)
    row = [marker for marker in card.markers if abs(marker.y_mm - top) < 1.0]
    view, seen = _seen(bench, card, row, noise=0.02)
    plane = plane_from_markers(seen, PICTURE)
    assert plane is not None
    assert _error_mm(card, view, plane) < 2.0


def test_noise_is_no_reason_for_a_lens(bench, card):
    view, seen = _seen(bench, card, card.markers, noise=0.1)
    plane = plane_from_markers(seen, PICTURE)
    assert plane.bend == 0.0
    assert _error_mm(card, view, plane) < 0.1


def test_a_lens_that_bends_is_told_and_undone(bench, card):
    _, seen = _seen(bench, card, card.markers)
    straight = plane_from_markers(seen, PICTURE)
    lens = replace(straight, bend=0.04)
    bent = {marker: lens.to_px(straight.to_mm(corners)) for marker, corners in seen.items()}
    plane = plane_from_markers(bent, PICTURE)
    assert plane.bend == pytest.approx(0.04, rel=0.01)
    middle = np.array([[card.width_mm, card.height_mm]]) / 2
    assert np.abs(plane.to_mm(lens.to_px(middle)) - middle).max() < 0.01
