"""A small sheet of our own with all that a sheet has: three inks, overlaps, steps, marks, words."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from livery.drawing import (
    Anchor,
    Drawing,
    Element,
    Label,
    Layer,
    LayerKind,
    Page,
    Picture,
    Process,
    Registration,
    Shape,
    Spot,
    Stroke,
    Symbol,
    Use,
)
from livery.geometry import Affine, FillRule, Path

STEPS = (LayerKind.WHITE, LayerKind.VARNISH, LayerKind.KISS_CUT, LayerKind.THROUGH_CUT)

TARN = Spot("tarn", (38.0, -22.0, -18.0))
EMBER = Spot("ember", (62.0, 55.0, 60.0))
CHALK = Spot("chalk", (92.0, 0.0, 6.0))
KISS = Spot("kiss cut line", (55.0, 70.0, -10.0))
THROUGH = Spot("through cut line", (50.0, -60.0, 40.0))
WHITE = Spot("white underprint", (96.0, -1.0, -3.0))
VARNISH = Spot("varnish", (88.0, 0.0, -12.0))
WIDTH_MM, HEIGHT_MM = 190.5, 152.4  # 2250 x 1800 px at 300 dpi
PLACES = (
    Affine.translation(56.0, 72.0) @ Affine.scaling(2.1),
    Affine.translation(132.0, 75.0) @ Affine.rotation(30.0) @ Affine.scaling(2.1, -2.1),
)


def badge() -> Symbol:
    """Regions in painter's order, each knocking out those before it."""
    ring = Path.circle(0.0, 0.0, 14.0) + Path.circle(0.0, 0.0, 9.0)
    shapes: tuple[Element, ...] = (
        Shape(Path.circle(0.0, 0.0, 20.0), fill=TARN),
        Shape(Path.rectangle(-13.0, -13.0, 13.0, 13.0), fill=EMBER),
        Shape(Path(ring.verbs, ring.points, FillRule.EVENODD), fill=CHALK),
        Shape(Path.circle(0.0, 0.0, 4.0), fill=TARN),
        Shape(
            Path.polyline([(-17.0, 0.0), (17.0, 4.0)], closed=False),
            stroke=Stroke(EMBER, 1.2, round=True),
        ),
    )
    return Symbol("badge", shapes)


def sheet(condition: str = "FOGRA39L", *, words: bool = True) -> Drawing:
    """One sheet: inks, white, varnish, both cuts, marks and, with ``words``, labels."""
    cut = Symbol(
        "badge cut",
        (Shape(Path.circle(0.0, 0.0, 20.6), stroke=Stroke(KISS, 0.3), overprint=True),),
    )
    under = Symbol("badge white", (Shape(Path.circle(0.0, 0.0, 19.8), fill=WHITE, overprint=True),))
    layers = (
        Layer(
            "inks",
            LayerKind.INK,
            tuple(Use("badge", a, {"copy": str(n)}) for n, a in enumerate(PLACES)),
            plates=True,
        ),
        Layer("white", LayerKind.WHITE, tuple(Use("badge white", a) for a in PLACES)),
        Layer(
            "varnish",
            LayerKind.VARNISH,
            (Shape(Path.circle(56.0, 72.0, 18.0), fill=VARNISH, overprint=True),),
        ),
        Layer("kiss cut", LayerKind.KISS_CUT, tuple(Use("badge cut", a) for a in PLACES)),
        Layer(
            "through cut",
            LayerKind.THROUGH_CUT,
            (
                Shape(
                    Path.rectangle(8.0, 12.0, 182.5, 142.0),
                    stroke=Stroke(THROUGH, 0.3),
                    overprint=True,
                ),
            ),
        ),
        Layer("marks", LayerKind.MARKS, _marks()),
        Layer("information", LayerKind.INFORMATION, _words() if words else _patches()),
    )
    page = Page(
        WIDTH_MM,
        HEIGHT_MM,
        layers,
        "Sheet 1 of 1",
        trim_mm=(4.0, 4.0, 186.5, 148.4),
        bleed_mm=(2.0, 2.0, 188.5, 150.4),
    )
    title = "Reedlight – Zoë’s <bats> & pads"
    return Drawing(title, (page,), (under, badge(), cut), "2026-05-01", condition)


def small_picture(mode: str = "RGB", size: tuple[int, int] = (6, 4)) -> bytes:
    """A PNG of a few flat pixels in a mode."""
    ramp = np.linspace(0, 255, size[0] * size[1] * 4).astype(np.uint8)
    image = Image.fromarray(ramp.reshape(size[1], size[0], 4), "RGBA").convert(mode)
    stream = io.BytesIO()
    image.save(stream, "PNG")
    return stream.getvalue()


def picture_page(png: bytes, condition: str = "") -> Drawing:
    """One page with one picture."""
    picture = Picture(png, 5.0, 5.0, 30.0, 20.0, "a ramp")
    layer = Layer("pictures", LayerKind.INFORMATION, (picture,))
    return Drawing("Picture", (Page(40.0, 30.0, (layer,)),), (), "", condition)


def _marks() -> tuple[Shape, ...]:
    shapes = []
    for x, y in ((6.0, 6.0), (184.5, 6.0), (6.0, 146.4), (184.5, 146.4)):
        cross = Path("MLML", np.array([(x - 3, y), (x + 3, y), (x, y - 3), (x, y + 3)]))
        for path in (cross, Path.circle(x, y, 2.0)):
            shapes.append(Shape(path, stroke=Stroke(Registration(), 0.25)))
    return tuple(shapes)


def _patches() -> tuple[Shape, ...]:
    return (
        Shape(Path.rectangle(20.0, 125.0, 28.0, 133.0), fill=Process(0.3, 0.7, 0.0, 0.1)),
        Shape(Path.rectangle(30.0, 125.0, 38.0, 133.0), fill=Spot("tarn", TARN.lab, 0.5)),
    )


def _words() -> tuple[Element, ...]:
    return (
        *_patches(),
        Label("AVATAR office · revision 3 · Zoë Łukasz", 12.0, 5.0, 8.0),
        Label("Display", 150.0, 128.0, 24.0, EMBER, Anchor.MIDDLE, 0.0, "display"),
        Label("upright", 14.0, 127.0, 9.0, TARN, Anchor.MIDDLE, 90.0, "text-bold"),
    )
