"""PDF: a drawing's pages and symbols as streams, bound with everything that standards ask."""

from __future__ import annotations

import io
from collections.abc import Collection, Iterator
from dataclasses import replace
from pathlib import Path as FilePath

from livery.drawing import Drawing, Page, Symbol
from livery.output.checking import check_drawing
from livery.output.pdf_binding import Binder, user_unit
from livery.output.pdf_content import Content, Form, Part, Stream
from livery.output.plates import Box, content_box
from livery.units import mm_to_pt
from livery.writing import write_whole

_MANY_PAGES = 50  # from here on pages are kept packed [source: workshop-choice]


def render_pdf(drawing: Drawing) -> bytes:
    """A drawing as PDF; as PDF/X-4 when it names an output condition.

    The same drawing gives the same bytes. Curves stay curves, symbols are stored once, spots keep
    their plates, layers are optional content and carry the processing steps of ISO 19593-1.

    Raises:
        ValueError: the drawing cannot be drawn truthfully (see ``check_drawing``).
    """
    binder = Binder(drawing)
    for part in _write_parts(drawing, (), len(drawing.pages) >= _MANY_PAGES):
        binder.add(part)
    stream = io.BytesIO()
    binder.bind(stream)
    return stream.getvalue()


def write_part(drawing: Drawing, but: Collection[str] = (), *, packed: bool = False) -> Part:
    """A drawing's pages and symbols as streams.

    Args:
        drawing: its pages are some of a document's.
        but: keys of symbols that another part of the document brings.
        packed: smaller, to be kept or sent.

    Raises:
        ValueError: the drawing cannot be drawn truthfully.
    """
    parts = tuple(_write_parts(drawing, but, packed))
    return Part(parts[0].forms, tuple(page for part in parts for page in part.pages))


def _write_parts(drawing: Drawing, but: Collection[str], packed: bool) -> Iterator[Part]:
    """The symbols as one part, then each page as one, so that no two need be held at once."""
    symbols = check_drawing(drawing)
    boxes: dict[str, Box | None] = {}
    for symbol in symbols:
        boxes[symbol.key] = content_box(symbol.elements, boxes)
    drawing_ones = {key for key, box in boxes.items() if box is not None}

    def kept(content: Content) -> Content:
        return content.pack() if packed else content

    forms = tuple(
        Form(symbol.key, box, kept(_write_symbol(symbol, drawing_ones)))
        for symbol in symbols
        if symbol.key not in but and (box := boxes[symbol.key]) is not None
    )
    yield Part(forms, ())
    for page in drawing.pages:
        yield Part((), ((replace(page, layers=()), kept(_write_page(page, drawing_ones))),))


def _write_symbol(symbol: Symbol, symbols: Collection[str]) -> Content:
    stream = Stream(symbols)
    stream.draw(symbol.elements)
    return stream.finish()


def _write_page(page: Page, symbols: Collection[str]) -> Content:
    stream = Stream(symbols)
    stream.scale(mm_to_pt(1.0) / user_unit(page))
    for layer in page.layers:
        stream.draw_layer(layer.name, layer.kind, layer.elements)
    return stream.finish()


def write_pdf(drawing: Drawing, path: FilePath) -> None:
    """Write a drawing as PDF (see ``render_pdf``).

    Raises:
        ValueError: the drawing cannot be drawn truthfully.
        OutputError: the place cannot be written.
    """
    write_whole(path, render_pdf(drawing))
