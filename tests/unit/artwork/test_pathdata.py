import math

import numpy as np
import pytest

from livery.artwork.pathdata import parse_path_data


@pytest.mark.parametrize(
    ("d", "verbs", "end"),
    [
        ("M1 2 3 4", "ML", [3, 4]),
        ("m1 2 3 4 z m1 1 l1,0", "MLZML", [3, 3]),
        ("M0 0H5V6h-1v-2", "MLLLL", [4, 4]),
        ("M0 0C1 1 2 1 3 0s2-1 3 0", "MCC", [6, 0]),
        ("M0 0Q1 1 2 0T4 0t2 0", "MCCC", [6, 0]),
        ("M0 0l1e1-.5.5.5", "MLL", [10.5, 0]),
        ("M0 0L1 1ZL2 2", "MLZML", [2, 2]),
        ("M0,0a1 1 0 012 0", "MCCCC", [2, 0]),
        ("", "", None),
    ],
)
def test_the_grammar_of_path_data(d, verbs, end):
    path = parse_path_data(d)
    assert path.verbs == verbs
    assert end is None or path.points[-1].tolist() == pytest.approx(end)


@pytest.mark.parametrize(
    ("d", "words"),
    [
        ("L1 1", "not with M"),
        ("1 1", "not with M"),
        ("M1", "2 numbers at a time"),
        ("M0 0L1 NaN", "NaN"),
        ("M0 0L1 1e400", "too large"),
        ("M0 0C1 1 2 2 3", "6 numbers at a time"),
        ("M0 0A1 1 0 2 0 3 3", "arc"),
        ("M0 0A1 1 0 0 0 3 inf", "inf"),
        ("M0 0A1 1 0 0 0 3", "arc"),
        ("M0 0Z4", "Z takes no numbers"),
        ("M0 0X1", "X"),
    ],
)
def test_what_is_no_path_data_is_named(d, words):
    with pytest.raises(ValueError, match=words):
        parse_path_data(d)


def test_a_quadratic_keeps_its_curve():
    path = parse_path_data("M0 0Q4 8 8 0")
    points = path.flattened(0.0001)[0]
    t = points[:, 0] / 8
    assert points[:, 1] == pytest.approx(2 * t * (1 - t) * 8, abs=1e-9)


def test_a_smooth_cubic_mirrors_the_last_control():
    path = parse_path_data("M0 0C0 2 3 2 4 0S8-2 9 0")
    assert path.points[4].tolist() == [5, -2]


def test_a_smooth_quadratic_after_a_cubic_starts_straight():
    path = parse_path_data("M0 0C0 2 3 2 4 0T8 0")
    assert path.points[4].tolist() == pytest.approx([4, 0])


@pytest.mark.parametrize("flags", ["0 0", "0 1", "1 0", "1 1"])
def test_an_arc_stays_on_its_ellipse(flags):
    path = parse_path_data(f"M10 0A5 3 30 {flags} 12 4")
    points = path.flattened(1e-4)[0]
    turn = math.radians(-30)
    rotation = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    flat = points @ rotation.T / [5, 3]
    # centre of the unit circle through all points, by least squares
    rows = np.column_stack([2 * flat, np.ones(len(flat))])
    solution = np.linalg.lstsq(rows, (flat**2).sum(axis=1), rcond=None)[0]
    radii = np.hypot(*(flat - solution[:2]).T)
    assert radii == pytest.approx(1.0, abs=2e-4)
    assert points[-1].tolist() == [12, 4]


def test_the_arc_flags_choose_side_and_length():
    lengths = {}
    for large in "01":
        points = parse_path_data(f"M0 0A5 5 0 {large} 1 6 0").flattened(1e-3)[0]
        lengths[large] = np.hypot(*np.diff(points, axis=0).T).sum()
        assert (points[1:-1, 1] < 1e-9).all()  # sweep 1 turns clockwise on a page with y down
    assert lengths["0"] + lengths["1"] == pytest.approx(10 * math.pi, rel=1e-3)


def test_an_arc_too_small_is_grown_to_reach():
    points = parse_path_data("M0 0A1 1 0 0 1 10 0").flattened(1e-3)[0]
    assert points[:, 1].min() == pytest.approx(-5, abs=0.01)


def test_a_long_path_is_read_whole():
    path = parse_path_data("M0 0" + "l1 1" * 40_000)
    assert len(path.verbs) == 40_001
    assert path.points[-1].tolist() == [40_000, 40_000]
