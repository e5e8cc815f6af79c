from dataclasses import replace

import shapely

from livery.drawing import Label, Shape
from livery.output import render_svg
from livery.scheme.model import PrintProfile
from livery.sheet import build_ink, gamut_drawing

PROFILE = PrintProfile()


def drawn(ink):
    drawing = gamut_drawing(ink, build_ink(ink, PROFILE), PROFILE)
    render_svg(drawing)
    elements = drawing.pages[0].layers[0].elements
    shapes = {e.name: e for e in elements if isinstance(e, Shape)}
    return shapes, " ".join(e.text for e in elements if isinstance(e, Label))


def middle(shape):
    x0, y0, x1, y1 = shape.path.bounds()
    return shapely.Point((x0 + x1) / 2, (y0 + y1) / 2)


def test_an_aim_out_of_reach_stands_outside_and_the_nearest_print_by_the_edge(shop):
    ink = replace(shop.scheme().palette.ink("ember"), lab=(60.0, 80.0, 60.0))
    shapes, words = drawn(ink)
    gamut = shapes["press gamut"].path.polygon()
    assert not gamut.contains(middle(shapes["aim"]))
    assert gamut.boundary.distance(middle(shapes["nearest"])) < 5.0
    assert "out of gamut" in words


def test_an_aim_in_reach_stands_inside_where_it_prints(shop):
    shapes, words = drawn(shop.scheme().palette.ink("chalk"))
    assert shapes["press gamut"].path.polygon().contains(middle(shapes["aim"]))
    assert middle(shapes["aim"]).distance(middle(shapes["nearest"])) < 0.2
    assert "in gamut" in words


def test_where_nothing_prints_the_picture_says_so(shop):
    ink = replace(shop.scheme().palette.ink("chalk"), lab=(99.5, 0.0, 0.0))
    shapes, words = drawn(ink)
    assert "press gamut" not in shapes
    assert "Nothing prints at L*" in words
