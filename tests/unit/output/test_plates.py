import numpy as np
import pytest
from drawings import CHALK, EMBER, TARN, badge

from livery.drawing import Label, Process, Registration, Shape, Stroke, Symbol, Use
from livery.geometry import Affine, Path
from livery.output.plates import Separator

SQUARE = Path.rectangle(0.0, 0.0, 10.0, 10.0)
AWAY = Path.rectangle(50.0, 0.0, 60.0, 10.0)


def test_plates_come_in_order_of_first_use() -> None:
    assert Separator([badge()]).symbols["badge"].plates == ("tarn", "ember", "chalk")


def test_later_shapes_of_other_plates_knock_out() -> None:
    separator = Separator([])
    shapes = (
        Shape(SQUARE, fill=TARN),
        Shape(SQUARE, fill=EMBER),
        Shape(SQUARE, fill=TARN),
        Shape(AWAY, fill=CHALK),
        Shape(SQUARE, fill=CHALK, overprint=True),
    )
    contents = separator.take_apart(shapes)
    assert separator.knockers(contents, "tarn") == {0: [1]}
    assert separator.knockers(contents, "ember") == {1: [2]}
    assert separator.knockers(contents, "chalk") == {}


def test_fill_and_stroke_are_parts_of_their_own() -> None:
    shape = Shape(SQUARE, fill=TARN, stroke=Stroke(EMBER, 1.0))
    contents = Separator([]).take_apart([shape])
    assert [part.plates for part in contents.parts] == [{"tarn"}, {"ember"}]
    assert Separator([]).knockers(contents, "tarn") == {0: [1]}


def test_a_later_ink_knocks_out_of_the_registration_colour_as_in_pdf() -> None:
    contents = Separator([]).take_apart(
        [Shape(SQUARE, fill=Registration()), Shape(SQUARE, fill=Process(0, 0, 0, 1))]
    )
    assert contents.plates == ("All", "Black")
    assert Separator([]).knockers(contents, "All") == {0: [1]}


def test_a_use_knocks_out_with_what_its_symbol_holds() -> None:
    symbol = Symbol("s", (Shape(SQUARE, fill=EMBER),))
    clear = Symbol("c", (Shape(SQUARE, fill=EMBER, overprint=True),))
    separator = Separator([symbol, clear])
    under = Shape(SQUARE, fill=TARN)
    for key, knocked in (("s", {0: [1]}), ("c", {})):
        contents = separator.take_apart([under, Use(key, Affine.translation(5.0, 5.0))])
        assert separator.knockers(contents, "tarn") == knocked
    far = separator.take_apart([under, Use("s", Affine.translation(25.0, 5.0))])
    assert separator.knockers(far, "tarn") == {}


def test_a_build_prints_on_each_of_its_plates_and_knocks_out_of_the_others() -> None:
    contents = Separator([]).take_apart(
        [Shape(SQUARE, fill=Process(1, 0, 0.5, 0)), Shape(SQUARE, fill=Process(0, 1, 0.2, 0))]
    )
    assert contents.plates == ("Cyan", "Yellow", "Magenta")
    knocked = {plate: Separator([]).knockers(contents, plate) for plate in contents.plates}
    assert knocked == {"Cyan": {0: [1]}, "Yellow": {}, "Magenta": {}}


@pytest.mark.parametrize("angle", [0.0, 30.0, 90.0])
def test_a_use_s_bounds_hold_its_symbol(angle: float) -> None:
    affine = Affine.translation(20.0, 10.0) @ Affine.rotation(angle)
    separator = Separator([badge()])
    (part,) = separator.take_apart([Use("badge", affine)]).parts
    x0, y0, x1, y1 = separator.box(part) or (0, 0, 0, 0)
    points = affine.apply(badge().elements[0].path.points)  # type: ignore[union-attr]
    assert np.all(points >= (x0 - 1e-9, y0 - 1e-9))
    assert np.all(points <= (x1 + 1e-9, y1 + 1e-9))


def test_what_draws_nothing_has_no_bounds() -> None:
    separator = Separator([Symbol("void", ())])
    contents = separator.take_apart(
        [Use("void", Affine()), Label("", 0.0, 0.0, 8.0), Shape(SQUARE)]
    )
    assert [separator.box(part) for part in contents.parts] == [None, None]
    assert contents.plates == ("Black",)
