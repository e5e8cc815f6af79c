"""The matrix of verdicts as a drawing."""

from collections.abc import Callable

import numpy as np

from livery.capture.model import Sample
from livery.drawing import Drawing, Label, Shape
from livery.match import compare, match_drawing
from livery.scheme.model import Palette

Make = Callable[..., Sample]


def labels(drawing: Drawing) -> list[str]:
    return [
        element.text
        for page in drawing.pages
        for layer in page.layers
        for element in layer.elements
        if isinstance(element, Label)
    ]


def test_words_and_numbers_tell_the_verdict(palette: Palette, sample: Make) -> None:
    found = compare([sample("bat"), sample("pad", (62, 56, 50)), sample("hat", own=3)], palette)
    texts = labels(match_drawing(found, palette))
    assert {"pass", "FAIL", "re-shoot", "Ember", "bat", "pad"} <= set(texts)
    for one in found:
        assert f"{one.de00:.2f} ± {one.u95:.2f}" in texts


def test_everything_stays_on_its_page(palette: Palette, sample: Make) -> None:
    items = [f"a very long name of an item {n}" for n in range(6)]
    drawing = match_drawing(compare([sample(item) for item in items], palette), palette)
    assert len(drawing.pages) > 1
    for page in drawing.pages:
        for layer in page.layers:
            for element in layer.elements:
                if isinstance(element, Shape):
                    points = element.path.points
                    assert np.all(points >= 0)
                    assert np.all(points <= (page.width_mm, page.height_mm))


def test_a_page_is_as_large_as_what_it_shows(palette: Palette, sample: Make) -> None:
    few, many = (
        match_drawing(compare([sample(item) for item in items], palette), palette).pages[0]
        for items in (["bat"], ["bat", "pad", "hat"])
    )
    assert few.width_mm < many.width_mm
    assert few.width_mm * few.height_mm < 0.2 * 297 * 210


def test_nothing_to_show_says_so(palette: Palette) -> None:
    (text,) = labels(match_drawing((), palette))
    assert "Nothing to compare" in text
