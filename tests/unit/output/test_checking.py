import math
from dataclasses import replace

import pytest
from drawings import TARN, sheet

from livery.drawing import (
    BLACK,
    Drawing,
    Element,
    Label,
    Layer,
    LayerKind,
    Page,
    Picture,
    Process,
    Shape,
    Spot,
    Stroke,
    Symbol,
    Use,
)
from livery.errors import ColourError
from livery.geometry import Affine, Path
from livery.output import render_pdf, render_png, render_svg
from livery.output.checking import check_drawing

DOT = Path.circle(5.0, 5.0, 2.0)


def _drawing(*elements: Element, symbols: tuple[Symbol, ...] = ()) -> Drawing:
    layer = Layer("one", LayerKind.INK, elements)
    return Drawing("Page", (Page(50.0, 40.0, (layer,)),), symbols)


LOOP = Symbol("loop", (Use("loop", Affine()),))
DOUBLE = (Symbol("a", ()), Symbol("a", ()))
FAULTS: dict[str, tuple[Drawing, str]] = {
    "symbol missing": (_drawing(Use("gone", Affine())), "'gone' is used but not"),
    "symbol in itself": (_drawing(Use("loop", Affine()), symbols=(LOOP,)), "contains itself"),
    "symbol doubled": (_drawing(symbols=DOUBLE), "share a key"),
    "spot in two colours": (
        _drawing(Shape(DOT, fill=TARN), Shape(DOT, fill=Spot("tarn", (1.0, 2.0, 3.0)))),
        "two colours",
    ),
    "spot on all plates": (_drawing(Shape(DOT, fill=Spot("All", TARN.lab))), "reserved"),
    "spot named as process": (_drawing(Shape(DOT, fill=Spot("Black", TARN.lab))), "reserved"),
    "spot unnamed": (_drawing(Shape(DOT, fill=Spot(" ", TARN.lab))), "reserved"),
    "tint beyond solid": (_drawing(Shape(DOT, fill=Spot("x", TARN.lab, 1.5))), "outside 0..1"),
    "process below none": (_drawing(Shape(DOT, fill=Process(-0.1, 0, 0, 0))), "outside 0..1"),
    "stroke of negative width": (_drawing(Shape(DOT, stroke=Stroke(BLACK, -1.0))), "negative"),
    "point not a number": (
        _drawing(Shape(Path.polyline([(0, 0), (math.nan, 1)]), fill=BLACK)),
        "not finite",
    ),
    "use at infinity": (
        _drawing(Use("a", Affine.translation(math.inf, 0)), symbols=DOUBLE[:1]),
        "not finite",
    ),
    "label of no size": (_drawing(Label("x", 0, 0, math.nan)), "not finite"),
    "picture nowhere": (_drawing(Picture(b"", math.nan, 0, 1, 1)), "not finite"),
    "page without width": (Drawing("x", (Page(0.0, 10.0, ()),)), "measures"),
    "page not a number": (Drawing("x", (Page(math.nan, 10.0, ()),)), "measures"),
    "trim beyond the page": (
        Drawing("x", (Page(10.0, 10.0, (), trim_mm=(0, 0, 11, 10)),)),
        "trim box",
    ),
    "bleed inside out": (
        Drawing("x", (Page(10.0, 10.0, (), bleed_mm=(5, 5, 1, 1)),)),
        "bleed box",
    ),
    "date": (replace(_drawing(), date="last Tuesday"), "ISO 8601"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_what_cannot_be_drawn_truthfully_is_refused_by_every_writer(fault: str) -> None:
    drawing, told = FAULTS[fault]
    for write in (render_pdf, render_svg, render_png):
        with pytest.raises(ValueError, match=told):
            write(drawing)


def test_an_unknown_press_condition_is_refused() -> None:
    with pytest.raises(ColourError):
        render_pdf(replace(_drawing(), output_condition="NOWHERE"))


def test_symbols_come_after_those_they_use() -> None:
    inner = Symbol("inner", (Shape(DOT, fill=TARN),))
    outer = Symbol("outer", (Use("inner", Affine()),))
    unused = Symbol("unused", ())
    drawing = _drawing(Use("outer", Affine()), symbols=(outer, unused, inner))
    assert [symbol.key for symbol in check_drawing(drawing)] == ["inner", "outer"]


def test_a_sound_drawing_is_left_alone() -> None:
    assert [s.key for s in check_drawing(sheet())] == ["badge", "badge white", "badge cut"]


def test_a_picture_too_large_is_refused() -> None:
    with pytest.raises(ValueError, match="too large"):
        render_png(_drawing(), 0, 1e4)


def test_bytes_that_are_no_picture_are_refused() -> None:
    with pytest.raises(ValueError, match="readable"):
        render_pdf(_drawing(Picture(b"not a picture", 0, 0, 1, 1)))
