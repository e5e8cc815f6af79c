"""A target's markers are found in any picture that shows them, and what is none is told."""

import cv2
import numpy as np
import pytest

from livery.capture.gates import LEAST_MARKERS, target_gate
from livery.capture.markers import find_markers, marker_corners_mm
from livery.capture.target_making import make_target


@pytest.fixture(scope="module")
def card():
    return make_target("card")[0]


def _grey(codes):
    return cv2.cvtColor(codes, cv2.COLOR_RGB2GRAY)


@pytest.mark.parametrize(
    ("tilt", "turn", "azimuth", "size"),
    [
        (0, 0, 0, (1200, 900)),
        (35, 180, 30, (1200, 900)),
        (35, 90, 90, (900, 1200)),
        (20, 45, 0, (2400, 1800)),
        (10, 10, 0, (800, 600)),
    ],
)
def test_markers_are_found_at_any_turn_and_tilt(bench, card, tilt, turn, azimuth, size):
    view = bench.view_of(card, size, tilt, turn, azimuth_deg=azimuth)
    codes = bench.expose(card, view, size, shade=0.3, noise=0.01)
    sighting = find_markers(_grey(codes), card)
    assert not sighting.missing
    assert not sighting.strangers
    assert not sighting.mirrored
    middles = {m: corners.mean(axis=0) for m, corners in sighting.corners_px.items()}
    for marker, middle in middles.items():
        true = cv2.perspectiveTransform(marker_corners_mm(marker)[None], view)[0].mean(axis=0)
        assert np.linalg.norm(middle - true) < 0.8


def test_a_dim_photograph_still_shows_its_markers(bench, card):
    view = bench.view_of(card, (1200, 900), 15)
    codes = bench.expose(card, view, (1200, 900), gain=0.03, noise=0.004)
    assert len(find_markers(_grey(codes), card).missing) <= 2


def test_a_mirrored_photograph_is_known_as_such(bench, card):
    codes = bench.expose(card, bench.view_of(card, (1200, 900)), (1200, 900))
    sighting = find_markers(_grey(np.ascontiguousarray(codes[:, ::-1])), card)
    assert sighting.mirrored
    assert not sighting.corners_px


def test_another_target_is_known_as_such(bench, card):
    chart, _ = make_target("chart")
    codes = bench.expose(chart, bench.view_of(chart, (1200, 900)), (1200, 900))
    sighting = find_markers(_grey(codes), card)
    assert len(sighting.missing) == len(card.markers)
    assert sighting.strangers >= 10


def test_two_prints_of_one_target_are_known_as_such(bench, card):
    view = bench.view_of(card, (1200, 900), 10)
    codes = bench.expose(card, view, (1200, 900))
    sighting = find_markers(_grey(np.concatenate([codes, codes], axis=1)), card)
    assert sighting.doubled == len(card.markers)
    gate = target_gate(sighting, LEAST_MARKERS)
    assert not gate.ok
    assert "twice" in gate.advice


def test_nothing_is_found_in_noise(card):
    noise = np.random.default_rng(3).integers(0, 256, (700, 900), dtype=np.uint8)
    sighting = find_markers(noise, card)
    assert len(sighting.missing) == len(card.markers)
    assert not sighting.mirrored
