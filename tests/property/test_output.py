import xml.etree.ElementTree as ET

import numpy as np
import pymupdf
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from pdf_walk import walk
from rasters import beyond_rim, png_pixels, render_with_mupdf
from strategies import paths, plate_drawings

from livery.artwork.pathdata import parse_path_data
from livery.drawing import Drawing, Element, Label, Layer, LayerKind, Page, Shape, Use
from livery.geometry import Path
from livery.output import render_pdf, render_png, render_svg
from livery.output.svg_paths import short_d

PX_PER_MM = 5.0
STRAY_PX = 12  # of 30,000: edges that coincide exactly are smoothed twice; a lost shape is 200


def _inks(elements: tuple[Element, ...], drawing: Drawing) -> list[str]:
    symbols = {symbol.key: symbol.elements for symbol in drawing.symbols}
    found: list[str] = []
    for element in elements:
        if isinstance(element, Use):
            found += _inks(symbols[element.symbol], drawing)
        elif isinstance(element, Shape):
            paint = element.fill or (element.stroke.paint if element.stroke else None)
            found.append(getattr(paint, "name", ""))
    return found


@given(plate_drawings())
@settings(max_examples=25, phases=[Phase.explicit, Phase.generate])
def test_svg_and_pdf_of_any_drawing_look_the_same(drawing: Drawing) -> None:
    pdf = render_with_mupdf(render_pdf(drawing), PX_PER_MM * 25.4)
    svg = png_pixels(render_png(drawing, 0, PX_PER_MM))
    assert np.count_nonzero(beyond_rim(pdf, svg, 24)) <= STRAY_PX


@given(plate_drawings())
def test_a_pdf_paints_what_the_drawing_says_in_its_order(drawing: Drawing) -> None:
    painted = walk(render_pdf(drawing))
    assert [p.ink for p in painted] == _inks(drawing.pages[0].layers[0].elements, drawing)


@given(plate_drawings())
def test_the_same_drawing_gives_the_same_files(drawing: Drawing) -> None:
    assert render_pdf(drawing) == render_pdf(drawing)
    assert render_svg(drawing) == render_svg(drawing)


@given(st.text(max_size=30), st.sampled_from(["text", "text-bold", "display"]))
def test_any_words_can_be_written(text: str, font: str) -> None:
    label = Label(text, 5.0, 5.0, 8.0, font=font)
    layer = Layer(text, LayerKind.INFORMATION, (label,))
    drawing = Drawing(text, (Page(90.0, 20.0, (layer,), text),))
    ET.fromstring(render_svg(drawing).encode("utf-8"))
    with pymupdf.open("pdf", render_pdf(drawing)) as pdf:
        assert pdf.page_count == 1


@given(paths(5000.0, 5))
def test_short_path_data_reads_back_to_the_micrometre(path: Path) -> None:
    read = parse_path_data(short_d(path))
    assert read.verbs == path.verbs
    assert np.abs(read.points - path.points).max() <= 0.000501
