"""The demo's sheets as SVG and as PDF look the same, but for a rim of one pixel.

What overprints is looked at by Ghostscript, which simulates it, with room for how colours mix on
a screen; the rest by MuPDF, which sets small words as other renderers do. Where two edges coincide,
smoothing lets a trace of what lies beneath through, more or less of it by renderer.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from drawings import STEPS
from rasters import (
    Grey,
    beyond_rim,
    png_pixels,
    render_with_chromium,
    render_with_ghostscript,
    render_with_librsvg,
    render_with_mupdf,
)

from livery.drawing import Drawing, Element, Label, Shape, Use
from livery.geometry import Affine
from livery.output import render_pdf, render_png, render_svg
from livery.sheet import Sheet, SheetRun, run_inks

PX_PER_MM = 4.0
DPI = 25.4 * PX_PER_MM
TRACE, MIXED, BUILT = 32, 64, 80  # codes: of a seam, of inks that mix, of builds that mix
Drawn = Callable[[SheetRun, Sheet], Drawing]


def _only(drawing: Drawing, unwanted: type[Element] | None = None) -> Drawing:
    """One page without elements of a kind; with none named, without what overprints."""

    def kept(elements: tuple[Element, ...]) -> tuple[Element, ...]:
        if unwanted is not None:
            return tuple(e for e in elements if not isinstance(e, unwanted))
        return tuple(e for e in elements if not (isinstance(e, Shape) and e.overprint))

    (page,) = drawing.pages
    layers = (x for x in page.layers if unwanted is not None or x.kind not in STEPS)
    pages = (replace(page, layers=tuple(replace(x, elements=kept(x.elements)) for x in layers)),)
    symbols = tuple(replace(s, elements=kept(s.elements)) for s in drawing.symbols)
    return replace(drawing, pages=pages, symbols=symbols)


def _beyond(one: Grey, other: Grey, tolerance: int) -> int:
    return int(np.count_nonzero(beyond_rim(one, other, tolerance)))


def _size(sheet: Sheet) -> tuple[int, int]:
    return round(sheet.width_mm * PX_PER_MM), round(sheet.height_mm * PX_PER_MM)


def _fullest(run: SheetRun) -> Sheet:
    return max(run.sheets, key=lambda sheet: len(sheet.items))


def test_every_sheet_s_inks_marks_and_words_are_alike(demo_run: SheetRun, drawn: Drawn) -> None:
    for sheet in demo_run.sheets:
        drawing = _only(drawn(demo_run, sheet))
        pdf, svg = render_with_mupdf(render_pdf(drawing), DPI), render_png(drawing, 0, PX_PER_MM)
        assert _beyond(pdf, png_pixels(svg), TRACE) == 0, sheet.number


def test_other_renderers_of_svg_agree(
    demo_run: SheetRun, drawn: Drawn, tmp_path: Path, rsvg_convert: str, chromium: str
) -> None:
    sheet = _fullest(demo_run)
    drawing = _only(drawn(demo_run, sheet))
    svg, pdf = render_svg(drawing), render_with_mupdf(render_pdf(drawing), DPI)
    assert _beyond(pdf, render_with_librsvg(svg, tmp_path, *_size(sheet)), TRACE) == 0
    shown = render_with_chromium(chromium, svg, tmp_path, *_size(sheet))
    assert _beyond(pdf, shown, TRACE) == 0


def test_sixteen_plates_on_foil_are_alike_at_300_dpi(foil_run: SheetRun, drawn: Drawn) -> None:
    drawing = drawn(foil_run, _fullest(foil_run))
    kinds = {layer.kind for layer in drawing.pages[0].layers}
    assert (len(run_inks(foil_run)), kinds >= set(STEPS)) == (12, True)
    plain = _only(drawing)
    pdf, svg = render_with_mupdf(render_pdf(plain), 300.0), render_png(plain, 0, 300.0 / 25.4)
    assert _beyond(pdf, png_pixels(svg), MIXED) == 0  # a seam a whole pixel wide shows more


@pytest.mark.parametrize(
    ("name", "tolerance"), [("demo_run", MIXED), ("mixed_run", BUILT), ("foil_run", BUILT)]
)
def test_traps_and_steps_show_through_in_both(
    name: str,
    tolerance: int,
    request: pytest.FixtureRequest,
    drawn: Drawn,
    tmp_path: Path,
    ghostscript: str,
) -> None:
    run: SheetRun = request.getfixturevalue(name)
    drawing = _only(drawn(run, _fullest(run)), Label)
    printed = render_with_ghostscript(render_pdf(drawing), tmp_path, DPI)
    assert _beyond(printed, png_pixels(render_png(drawing, 0, PX_PER_MM)), tolerance) == 0


def test_a_decal_moved_by_two_pixels_is_seen(demo_run: SheetRun, drawn: Drawn) -> None:
    sheet = min(demo_run.sheets, key=lambda s: len(s.items))
    drawing = _only(drawn(demo_run, sheet))
    artwork, *others = drawing.pages[0].layers
    use, *uses = artwork.elements
    assert isinstance(use, Use)
    moved = replace(use, affine=Affine.translation(2.0 / PX_PER_MM, 0.0) @ use.affine)
    layers = (replace(artwork, elements=(moved, *uses)), *others)
    other = replace(drawing, pages=(replace(drawing.pages[0], layers=layers),))
    pdf, svg = render_with_mupdf(render_pdf(drawing), DPI), render_png(other, 0, PX_PER_MM)
    assert _beyond(pdf, png_pixels(svg), TRACE) > 300
