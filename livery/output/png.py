"""PNG pictures of pages, drawn from their SVG twins."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path as FilePath

from livery.drawing import Drawing
from livery.output.checking import check_drawing
from livery.output.svg import svg_in_pixels
from livery.units import MM_PER_INCH
from livery.writing import write_whole

MAX_PIXELS = 200_000_000  # beyond is a slip of scale [source: workshop-choice]
_PACKED = 3  # a zlib level: half the time of its usual 6, hardly larger [source: workshop-choice]
_SVG_DPI = 96.0  # CSS pixels an inch [source: css-values-4]


def render_png(drawing: Drawing, page: int = 0, px_per_mm: float = 4.0) -> bytes:
    """One page as PNG on white, its resolution written into it.

    Args:
        drawing: the document.
        page: index of the page, from 0.
        px_per_mm: resolution; 11.811 is 300 dpi.

    Raises:
        ValueError: the drawing cannot be drawn truthfully, or the picture would be too large.
        IndexError: no such page.
    """
    sheet = drawing.pages[page]
    symbols = check_drawing(replace(drawing, pages=(sheet,)))
    width = max(1, round(sheet.width_mm * px_per_mm))
    height = max(1, round(sheet.height_mm * px_per_mm))
    if not width * height <= MAX_PIXELS:
        raise ValueError(f"a picture of {width} x {height} px is too large; lower px_per_mm")
    return _rastered(svg_in_pixels(drawing, page, symbols, (width, height)), px_per_mm)


def _rastered(svg: str, px_per_mm: float) -> bytes:
    import resvg_py
    from PIL import Image

    drawn = resvg_py.svg_to_bytes(
        svg_string=svg, dpi=_SVG_DPI, background="#ffffff", skip_system_fonts=True
    )
    dpi = px_per_mm * MM_PER_INCH
    stream = io.BytesIO()
    with Image.open(io.BytesIO(bytes(drawn))) as image:
        image.convert("RGB").save(stream, "PNG", dpi=(dpi, dpi), compress_level=_PACKED)
    return stream.getvalue()


def write_png(drawing: Drawing, path: FilePath, page: int = 0, px_per_mm: float = 4.0) -> None:
    """Write one page as PNG.

    Raises:
        ValueError: as ``render_png``.
        OutputError: the place cannot be written.
    """
    write_whole(path, render_png(drawing, page, px_per_mm))
