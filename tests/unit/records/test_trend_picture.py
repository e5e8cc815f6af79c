"""Colours over time, drawn: every capture where its numbers put it, nothing over its edges."""

from pathlib import Path

import numpy as np
import pytest
from labels import find_meeting, ink_boxes, words_of

from livery.colour import ciede2000
from livery.drawing import Shape
from livery.output import render_svg
from livery.records.history import TrendPoint
from livery.records.trend_picture import _BOTTOM, _LEFT, _RIGHT, _TOP, trend_drawing
from livery.scheme import load_season

SEASON = Path(__file__).parents[3] / "artwork_demo" / "season.toml"


@pytest.fixture(scope="module")
def palette():
    return load_season(SEASON).palette


def points_of(ink, count, items=("sedge",), benches=("window",), batch=lambda n: f"B-{n // 5}"):
    """Captures that drift away from an ink's aim, one after the other."""
    lightness, a, b = ink.lab
    return [
        TrendPoint(
            f"2027-01-{1 + n // 9:02d}",
            benches[n % len(benches)],
            batch(n),
            "Q-1",
            item,
            ink.key,
            (lightness + 0.1 * n, a, b),
        )
        for n in range(count)
        for item in items
    ]


def marks_of(page):
    """Filled marks of captures, left to right: x and y of each middle."""
    shapes = [e for e in page.layers[0].elements if isinstance(e, Shape) and e.fill is not None]
    boxes = np.array([shape.path.bounds() for shape in shapes])
    return np.stack([(boxes[:, 0] + boxes[:, 2]) / 2, (boxes[:, 1] + boxes[:, 3]) / 2], axis=1)


def test_each_capture_stands_where_its_distance_puts_it(palette):
    ink = palette.inks[0]
    points = points_of(ink, 24)
    (page,) = trend_drawing(points, palette).pages
    marks = marks_of(page)
    assert len(marks) == 24
    assert (np.diff(marks[:, 0]) > 0).all()
    wanted = ciede2000(np.array([p.lab for p in points]), np.asarray(ink.lab))
    lines = [
        e.path.bounds() for e in page.layers[0].elements if isinstance(e, Shape) and not e.fill
    ]
    floor = min(box[1] for box in lines if box[2] - box[0] > 200)
    rise = (marks[-1, 1] - floor) / wanted[-1]
    assert np.allclose(marks[:, 1], floor + rise * wanted, atol=0.05)
    dashed = [e for e in page.layers[0].elements if isinstance(e, Shape) and e.stroke.dash_mm]
    assert dashed[0].path.bounds()[1] == pytest.approx(floor + rise * ink.tolerance_de00)


@pytest.mark.parametrize("count", [1, 7, 900])
@pytest.mark.parametrize("benches", [1, 5, 12])
def test_nothing_leaves_the_page_or_meets_other_words(palette, count, benches):
    names = [f"பெஞ்ச் {n} with rather a long name of its own" for n in range(benches)]
    items = [f"item {n} " + "of a long name " * 9 for n in range(5)]
    points = points_of(palette.inks[0], count, items, names, lambda n: f"ලෝහ {n // 3} long batch")
    for page in trend_drawing(points, palette).pages:
        boxes = ink_boxes(page)
        assert all(b[0] > 4 and b[2] < 293 and b[1] > 4 and b[3] < 206 for b in boxes)
        assert find_meeting(boxes) == []
        for x, y in marks_of(page):
            assert _LEFT <= x <= _RIGHT and _BOTTOM < y < _TOP


def test_benches_are_told_by_shape_and_the_many_share_one(palette):
    def shown(count):
        names = [f"bench {n}" for n in range(count)]
        return words_of(
            trend_drawing(points_of(palette.inks[0], 40, benches=names), palette).pages[0]
        )

    assert {f"bench {n}" for n in range(5)} <= set(shown(5))
    assert "5 other benches" in shown(9)
    assert sum(text.startswith("bench ") for text in shown(9)) == 4


def test_items_go_by_name_and_more_than_four_take_another_page(palette):
    points = points_of(palette.inks[0], 3, ["sedge", "b", "c", "d", "e"])
    first, second = trend_drawing(points, palette, {"sedge": "Sedge"}).pages
    told = words_of(first)
    assert "Sedge" in told and "sedge" not in told
    assert "e" in words_of(second)


def test_nothing_kept_yet_is_said_in_words(palette):
    drawing = trend_drawing([], palette)
    assert len(drawing.pages) == 1
    assert "No good capture" in render_svg(drawing)
