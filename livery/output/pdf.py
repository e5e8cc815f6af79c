"""PDF: reportlab sets the content, pikepdf everything that standards ask beside it."""

from __future__ import annotations

import hashlib
import io
import math
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any

from livery.colour.press import PressProfile, press_profile
from livery.drawing import Drawing, Page, Symbol
from livery.output.checking import check_drawing, drawing_date
from livery.output.lettering import without_controls
from livery.output.pdf_content import Ledger, Stream, default_font
from livery.output.pdf_metadata import Identity, set_metadata
from livery.output.pdf_resources import (
    colour_spaces,
    graphics_states,
    optional_content,
    pictures,
)
from livery.output.plates import Separator
from livery.units import mm_to_pt
from livery.writing import write_whole

if TYPE_CHECKING:
    import pikepdf

_LONGEST_PT = 14400.0  # 200 in, annex C.2 [source: iso-32000-1]


def render_pdf(drawing: Drawing) -> bytes:
    """A drawing as PDF; as PDF/X-4 when it names an output condition.

    The same drawing gives the same bytes. Curves stay curves, symbols are stored once, spots keep
    their plates, layers are optional content and carry the processing steps of ISO 19593-1.

    Raises:
        ValueError: the drawing cannot be drawn truthfully (see ``check_drawing``).
    """
    import pikepdf

    symbols = check_drawing(drawing)
    ledger = Ledger()
    content, used = _content(drawing, symbols, ledger)
    identity = Identity(
        without_controls(drawing.title) or "untitled",
        drawing.language,
        drawing_date(drawing),
        hashlib.sha256(content).digest(),
        _press(drawing),
    )
    with pikepdf.open(io.BytesIO(content)) as pdf:
        _share_resources(pdf, ledger, used, identity.press)
        _set_pages(pdf, drawing)
        set_metadata(pdf, identity)
        del pdf.trailer["/ID"]  # reportlab's, alike in all files; saving makes one of the content
        stream = io.BytesIO()
        pdf.save(
            stream,
            force_version="1.6",
            deterministic_id=True,
            compress_streams=True,
            recompress_flate=True,
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
        )
    return stream.getvalue()


def _press(drawing: Drawing) -> PressProfile | None:
    name = drawing.output_condition
    return press_profile(name, drawing.output_profile) if name else None


def write_pdf(drawing: Drawing, path: FilePath) -> None:
    """Write a drawing as PDF (see ``render_pdf``).

    Raises:
        ValueError: the drawing cannot be drawn truthfully.
        OutputError: the place cannot be written.
    """
    write_whole(path, render_pdf(drawing))


def user_unit(page: Page) -> float:
    """How many points one user unit of a page is: 1, or more for a page beyond 200 inches.

    Source:
        14.11.2 and annex C.2 [source: iso-32000-1]
    """
    longest = mm_to_pt(max(page.width_mm, page.height_mm))
    return float(max(1, math.ceil(round(longest / _LONGEST_PT, 9))))


def _content(
    drawing: Drawing, symbols: tuple[Symbol, ...], ledger: Ledger
) -> tuple[bytes, dict[str, tuple[str, ...]]]:
    """The file as reportlab leaves it and, for each stream's name, the pictures it uses."""
    from reportlab.pdfgen.canvas import Canvas  # type: ignore[import-untyped]

    buffer = io.BytesIO()
    canvas = Canvas(
        buffer, pdfVersion=(1, 6), invariant=1, pageCompression=0, initialFontName=default_font()
    )
    used: dict[str, tuple[str, ...]] = {}
    forms: dict[str, str] = {}
    separator = Separator(symbols)
    for symbol in symbols:
        box = separator.symbols[symbol.key].box
        if box is None:
            continue
        name = f"S{len(forms)}"
        canvas.beginForm(name, *box)
        stream = Stream(canvas, ledger, forms)
        stream.draw(symbol.elements)
        canvas.endForm()
        forms[symbol.key] = name
        used[f"/FormXob.{name}"] = tuple(stream.pictures)
    for number, page in enumerate(drawing.pages):
        used[str(number)] = _page(canvas, page, ledger, forms)
    if not drawing.pages:
        canvas.showPage()
    canvas.save()
    return buffer.getvalue(), used


def _page(canvas: Any, page: Page, ledger: Ledger, forms: dict[str, str]) -> tuple[str, ...]:
    points_per_mm = mm_to_pt(1.0) / user_unit(page)
    canvas.setPageSize((page.width_mm * points_per_mm, page.height_mm * points_per_mm))
    stream = Stream(canvas, ledger, forms)
    stream.scale(points_per_mm)
    for layer in page.layers:
        stream.draw_layer(layer.name, layer.kind, layer.elements)
    canvas.showPage()
    return tuple(stream.pictures)


def _share_resources(
    pdf: pikepdf.Pdf, ledger: Ledger, used: dict[str, tuple[str, ...]], press: PressProfile | None
) -> None:
    """Give every stream the document's one set of inks, states and layers, and its pictures."""
    from pikepdf import Dictionary

    shared = {
        "/ColorSpace": colour_spaces(pdf, ledger),
        "/ExtGState": graphics_states(pdf),
        "/Properties": optional_content(pdf, ledger),
    }
    images = pictures(pdf, ledger, press)
    for name, resources in _streams(pdf):
        for key, value in shared.items():
            resources[key] = value
        wanted = used.get(name, ())
        if wanted and "/XObject" not in resources:
            resources["/XObject"] = Dictionary()
        for image in wanted:
            resources["/XObject"][image] = images[image]


def _streams(pdf: pikepdf.Pdf) -> Iterator[tuple[str, Any]]:
    """The resources of every page and every form, each once, by the name ``_content`` gave."""
    seen: set[tuple[int, int]] = set()
    waiting: list[tuple[str, Any]] = [(str(n), page.obj) for n, page in enumerate(pdf.pages)]
    while waiting:
        name, holder = waiting.pop()
        if holder.objgen in seen:
            continue
        seen.add(holder.objgen)
        inside = holder.Resources.get("/XObject", {})
        waiting += [(key, inside[key]) for key in inside if key.startswith("/FormXob")]
        yield name, holder.Resources


def _set_pages(pdf: pikepdf.Pdf, drawing: Drawing) -> None:
    from pikepdf import OutlineItem

    for made, page in zip(pdf.pages, drawing.pages, strict=False):
        _set_boxes(made.obj, page)
    titles = [without_controls(page.title) for page in drawing.pages]
    if len(titles) > 1 and any(titles):
        with pdf.open_outline() as outline:
            for number, title in enumerate(titles):
                outline.root.append(OutlineItem(title or f"Page {number + 1}", number))


def _set_boxes(holder: Any, page: Page) -> None:
    from decimal import Decimal

    unit = user_unit(page)
    whole = (0.0, 0.0, page.width_mm, page.height_mm)
    trim = page.trim_mm or whole
    bleed = page.bleed_mm or (whole if page.trim_mm is None else trim)
    bleed = tuple(f(a, b) for f, a, b in zip((min, min, max, max), bleed, trim, strict=True))  # type: ignore[assignment]
    for key in ("/Rotate", "/Trans", "/CropBox", "/ArtBox"):
        if key in holder:
            del holder[key]
    for key, box in (("/MediaBox", whole), ("/BleedBox", bleed), ("/TrimBox", trim)):
        holder[key] = [Decimal(f"{mm_to_pt(side) / unit:.4f}") for side in box]
    if unit != 1.0:
        holder["/UserUnit"] = int(unit)
