"""Plots of inks: what they name, and that everything stays in its place."""

from dataclasses import replace

import numpy as np
import pytest

from livery.drawing import Label, Shape
from livery.match import Verdict, compare, plots_drawing
from livery.match.marks import draw_mark


def elements(drawing):
    return [e for page in drawing.pages for layer in page.layers for e in layer.elements]


def test_names_aim_tolerance_and_items(palette, sample):
    found = compare([sample("bat"), sample("pad", (62, 56, 50)), sample("hat", own=3)], palette)
    texts = {e.text for e in elements(plots_drawing(found, palette)) if isinstance(e, Label)}
    assert {"bat", "pad", "hat", "a*", "b*", "C*", "L*", "Ember, tolerance 2"} <= texts


def test_verdicts_have_shapes_of_their_own():
    shapes = {verdict: draw_mark(verdict, 5.0, 5.0) for verdict in Verdict}
    assert [len(shapes[v]) for v in (Verdict.PASS, Verdict.FAIL, Verdict.RESHOOT)] == [1, 2, 1]
    assert shapes[Verdict.PASS][0].stroke is None
    assert shapes[Verdict.RESHOOT][0].stroke is not None


def test_everything_stays_on_its_page(palette, sample):
    wild = [
        sample("far", (5, -80, 90)),
        sample("grey", (0, 0, 0), own=20),
        sample("日本", ink="tarn"),
    ]
    drawing = plots_drawing(compare(wild, palette), palette)
    for element in elements(drawing):
        if isinstance(element, Shape):
            assert np.all(element.path.points >= 0)
            assert np.all(element.path.points <= (297, 210))


def test_a_neutral_aim_has_no_chroma_below_none(palette, sample):
    grey = replace(palette, inks=(replace(palette.inks[0], lab=(50.0, 0.0, 0.0)),))
    drawing = plots_drawing(compare([sample("bat", (50, 0, 0))], grey), grey)
    lines = [e for e in elements(drawing) if isinstance(e, Shape) and e.stroke is not None]
    _, edge = (e.path.points for e in lines if e.stroke.width_mm == 0.35)
    _, upright = (
        e.path.points
        for e in lines
        if e.stroke.width_mm == 0.25 and np.ptp(e.path.points[:, 0]) == 0.0
    )
    assert edge[:, 0].min() == pytest.approx(upright[0, 0])  # C* = 0, where the aim is
    assert edge[:, 0].max() > upright[0, 0] + 1.0


def test_many_inks_take_many_pages_and_none_says_so(palette, sample):
    inks = tuple(replace(palette.inks[0], key=f"i{n}", name=f"I{n}") for n in range(9))
    many = replace(palette, inks=inks)
    found = compare([sample("bat", ink=f"i{n}") for n in range(9)], many)
    assert len(plots_drawing(found, many).pages) == 3
    words = [e.text for e in elements(plots_drawing((), many)) if isinstance(e, Label)]
    assert any("nothing to plot" in text for text in words)
