"""The SVG and PDF of one drawing look the same, but for a rim of one pixel."""

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from drawings import STEPS, picture_page, sheet
from PIL import Image
from rasters import (
    beyond_rim,
    png_pixels,
    render_with_chromium,
    render_with_ghostscript,
    render_with_librsvg,
    render_with_mupdf,
)

from livery.drawing import Drawing, Layer, LayerKind
from livery.output import render_pdf, render_png, render_svg

PX_PER_MM = 6.0
DPI = 25.4 * PX_PER_MM


def _without_steps(drawing: Drawing) -> Drawing:
    page = drawing.pages[0]
    layers: tuple[Layer, ...] = tuple(x for x in page.layers if x.kind not in STEPS)
    return replace(drawing, pages=(replace(page, layers=layers),))


def _svg_pictures(drawing: Drawing, folder: Path) -> dict[str, np.ndarray]:
    page = drawing.pages[0]
    size = round(page.width_mm * PX_PER_MM), round(page.height_mm * PX_PER_MM)
    return {
        "resvg": png_pixels(render_png(drawing, 0, PX_PER_MM)),
        "librsvg": render_with_librsvg(render_svg(drawing), folder, *size),
    }


def _assert_alike(one: np.ndarray, other: np.ndarray, tolerance: int, folder: Path) -> None:
    beyond = beyond_rim(one, other, tolerance)
    if beyond.any():
        for name, picture in (("one", one), ("other", other), ("beyond", beyond)):
            Image.fromarray(picture).save(folder / f"{name}.png")
    assert np.count_nonzero(beyond) == 0, f"pictures in {folder}"


def test_inks_marks_and_words_are_alike_in_four_renderers(
    tmp_path: Path, ghostscript: str, rsvg_convert: str
) -> None:
    drawing = _without_steps(sheet())
    pdf = render_pdf(drawing)
    pdfs = {
        "ghostscript": render_with_ghostscript(pdf, tmp_path, DPI, overprint=False),
        "mupdf": render_with_mupdf(pdf, DPI),
    }
    for svg in _svg_pictures(drawing, tmp_path).values():
        for picture in pdfs.values():
            _assert_alike(picture, svg, 24, tmp_path)


def test_steps_show_through_in_both(tmp_path: Path, ghostscript: str, rsvg_convert: str) -> None:
    drawing = sheet(words=False)
    picture = render_with_ghostscript(render_pdf(drawing), tmp_path, DPI)
    for svg in _svg_pictures(drawing, tmp_path).values():
        _assert_alike(picture, svg, 64, tmp_path)


def test_a_browser_shows_the_same(tmp_path: Path, chromium: str) -> None:
    drawing = _without_steps(sheet())
    width, height = round(190.5 * PX_PER_MM), round(152.4 * PX_PER_MM)
    shown = render_with_chromium(chromium, render_svg(drawing), tmp_path, width, height)
    _assert_alike(render_with_mupdf(render_pdf(drawing), DPI), shown, 24, tmp_path)


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L"])
def test_pictures_stand_the_same_way_up(tmp_path: Path, rsvg_convert: str, mode: str) -> None:
    quarters = np.zeros((40, 60, 3), np.uint8)
    quarters[:20, :30], quarters[20:, :30] = (200, 40, 40), (40, 90, 200)
    quarters[:20, 30:] = (230, 220, 90)
    stream = io.BytesIO()
    Image.fromarray(quarters).convert(mode).save(stream, "PNG")
    drawing = picture_page(stream.getvalue())
    picture = render_with_mupdf(render_pdf(drawing), DPI)
    for svg in _svg_pictures(drawing, tmp_path).values():
        _assert_alike(picture, svg, 24, tmp_path)


def test_a_missing_cut_line_is_seen(tmp_path: Path, ghostscript: str) -> None:
    drawing = sheet(words=False)
    page = drawing.pages[0]
    layers = tuple(x for x in page.layers if x.kind is not LayerKind.KISS_CUT)
    poorer = replace(drawing, pages=(replace(page, layers=layers),))
    picture = render_with_ghostscript(render_pdf(drawing), tmp_path, DPI)
    seen = beyond_rim(picture, png_pixels(render_png(poorer, 0, PX_PER_MM)), 64)
    assert np.count_nonzero(seen) > 100


def test_a_missing_shape_is_seen() -> None:
    drawing = _without_steps(sheet())
    page = drawing.pages[0]
    poorer = replace(drawing, pages=(replace(page, layers=page.layers[:-1]),))
    seen = beyond_rim(
        png_pixels(render_png(drawing, 0, PX_PER_MM)),
        png_pixels(render_png(poorer, 0, PX_PER_MM)),
        24,
    )
    assert np.count_nonzero(seen) > 1000


def test_a_shape_moved_by_two_pixels_is_seen() -> None:
    picture = png_pixels(render_png(_without_steps(sheet()), 0, PX_PER_MM))
    assert np.count_nonzero(beyond_rim(picture, np.roll(picture, 2, axis=1), 24)) > 1000


@pytest.mark.parametrize("px_per_mm", [2.0, 5.9055])
def test_a_png_says_its_size(px_per_mm: float) -> None:
    with Image.open(io.BytesIO(render_png(sheet(), 0, px_per_mm))) as image:
        assert image.size == (round(190.5 * px_per_mm), round(152.4 * px_per_mm))
        assert image.info["dpi"][0] == pytest.approx(px_per_mm * 25.4, rel=1e-3)
