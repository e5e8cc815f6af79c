"""PDF: a drawing's pages and symbols as streams, bound with everything that standards ask."""

from __future__ import annotations

import io
from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import lru_cache
from pathlib import Path as FilePath

from livery.drawing import Drawing, Page, Symbol, Use
from livery.output.checking import check_drawing
from livery.output.pdf_binding import Binder, user_unit
from livery.output.pdf_content import Content, Form, Part, Stream
from livery.output.plates import Box, content_box
from livery.units import mm_to_pt
from livery.writing import write_whole

_Boxes = tuple[tuple[str, Box | None], ...]


def render_pdf(drawing: Drawing) -> bytes:
    """A drawing as PDF; as PDF/X-4 when it names an output condition.

    The same drawing gives the same bytes. Curves stay curves, symbols are stored once, spots keep
    their plates, layers are optional content and carry the processing steps of ISO 19593-1.

    Raises:
        ValueError: the drawing cannot be drawn truthfully (see ``check_drawing``).
    """
    binder = Binder(drawing)
    for part in _write_parts(drawing, ()):
        binder.add(part)
    stream = io.BytesIO()
    binder.bind(stream)
    return stream.getvalue()


def write_part(drawing: Drawing, but: Collection[str] = ()) -> Part:
    """A drawing's pages and symbols as streams.

    Args:
        drawing: its pages are some of a document's.
        but: keys of symbols that another part of the document brings.

    Raises:
        ValueError: the drawing cannot be drawn truthfully.
    """
    parts = tuple(_write_parts(drawing, but))
    return Part(parts[0].forms, tuple(page for part in parts for page in part.pages))


def _write_parts(drawing: Drawing, but: Collection[str]) -> Iterator[Part]:
    """The symbols as one part, then each page as one, so that no two need be held at once."""
    boxes: dict[str, Box | None] = {}
    forms = []
    for symbol in check_drawing(drawing):
        used = dict.fromkeys(e.symbol for e in symbol.elements if isinstance(e, Use))
        inside = tuple((key, boxes[key]) for key in used)
        boxes[symbol.key] = box = _box_of(symbol, inside)
        if box is not None and symbol.key not in but:
            forms.append(Form(symbol.key, box, _write_symbol(symbol, inside)))
    yield Part(tuple(forms), ())
    drawing_ones = {key for key, box in boxes.items() if box is not None}
    for page in drawing.pages:
        yield Part((), ((replace(page, layers=()), _write_page(page, drawing_ones)),))


@lru_cache(maxsize=96)
def _box_of(symbol: Symbol, inside: _Boxes) -> Box | None:
    return content_box(symbol.elements, dict(inside))


@lru_cache(maxsize=96)
def _write_symbol(symbol: Symbol, inside: _Boxes) -> Content:
    """Kept: a decal is in the papers of every order that bears it."""
    stream = Stream({key for key, box in inside if box is not None})
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
