"""A batch's charts: what they say, and that everything stays on its page."""

import numpy as np

from livery.drawing import Label, Shape
from livery.match.batch_drawing import batch_drawing
from livery.match.print_check import check_print
from livery.match.print_model import PatchReading


def batch(values, ink="ember"):
    return [
        PatchReading(f"sheet {n}", (ink,), 1.0, (value, 56.0, 50.0), np.eye(3) * 0.02)
        for n, value in enumerate(values)
    ]


def elements(drawing):
    return [e for page in drawing.pages for layer in page.layers for e in layer.elements]


def check_bounds(drawing):
    for element in elements(drawing):
        if isinstance(element, Shape):
            assert np.all(element.path.points >= 0)
            assert np.all(element.path.points <= (297, 210))


def test_outcome_reasons_and_coordinates_are_written(palette):
    drawing = batch_drawing(check_print(batch([50.0] * 10), palette), palette)
    texts = [e.text for e in elements(drawing) if isinstance(e, Label)]
    assert {"reject", "Ember", "L*", "a*", "b*", "sheet 0", "sheet 9"} <= set(texts)
    assert any("darker than the aim" in text for text in texts)
    check_bounds(drawing)


def test_any_number_of_sheets_can_be_drawn(palette):
    generator = np.random.default_rng(1)
    for count in (1, 3, 8, 120):
        values = 56 + generator.normal(0, 0.3, count)
        check_bounds(batch_drawing(check_print(batch(values), palette), palette))
    assert len(batch_drawing(check_print([], palette), palette).pages) == 1


def test_signals_have_a_shape_of_their_own(palette):
    calm = [56.0, 56.4] * 10
    plain = batch_drawing(check_print(batch(calm), palette), palette)
    jump = batch_drawing(check_print(batch([*calm, 58.5]), palette), palette)

    def triangles(drawing):
        return sum(
            isinstance(e, Shape)
            and e.fill is not None
            and e.stroke is not None
            and len(e.path.points) in (3, 4)
            and e.stroke.width_mm > 0.3
            for e in elements(drawing)
        )

    assert triangles(plain) == triangles(jump) - 1
