"""A drawing is looked over once before any writer starts, so that a fault leaves no half file."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime

import numpy as np

from livery.colour.press import press_profile
from livery.drawing import Drawing, Element, Label, Paint, Picture, Shape, Spot, Symbol, Use
from livery.output.paints import check_paint

EPOCH = datetime(2000, 1, 1, tzinfo=UTC)  # without a date [source: workshop-choice]
MAX_PAGE_MM = 500_000.0  # longer than any roll [source: workshop-choice]


def check_drawing(drawing: Drawing) -> tuple[Symbol, ...]:
    """Find what no writer could draw truthfully.

    Returns:
        The symbols in use, each after those it uses.

    Raises:
        ColourError: no usable press profile for the output condition.
        ValueError: a page without size, a number that is not finite, a symbol that is missing,
            doubled or inside itself, a spot with two colours, an unusable paint or date.
    """
    drawing_date(drawing)
    if drawing.output_condition:
        press_profile(drawing.output_condition, drawing.output_profile)
    for page in drawing.pages:
        if not all(0.0 < side <= MAX_PAGE_MM for side in (page.width_mm, page.height_mm)):
            raise ValueError(f"page {page.title!r} measures {page.width_mm} x {page.height_mm} mm")
        for name, box in (("trim", page.trim_mm), ("bleed", page.bleed_mm)):
            if box is not None and not _fits(box, page.width_mm, page.height_mm):
                raise ValueError(f"page {page.title!r}: {name} box {box} is not within the page")
    symbols = ordered_symbols(drawing)
    spots: dict[str, Spot] = {}
    for element in _all_elements(drawing, symbols):
        _check_numbers(element)
        for paint in paints_of(element):
            check_paint(paint)
            if isinstance(paint, Spot) and spots.setdefault(paint.name, paint).lab != paint.lab:
                raise ValueError(f"spot {paint.name!r} has two colours in one drawing")
    return symbols


def drawing_date(drawing: Drawing) -> datetime:
    """The drawing's date, at midnight UTC unless it says more; a fixed epoch without one.

    Raises:
        ValueError: not an ISO 8601 date.
    """
    if not drawing.date:
        return EPOCH
    try:
        date = datetime.fromisoformat(drawing.date)
    except ValueError as error:
        raise ValueError(f"date {drawing.date!r} is not an ISO 8601 date") from error
    return date if date.tzinfo else date.replace(tzinfo=UTC)


def ordered_symbols(drawing: Drawing) -> tuple[Symbol, ...]:
    """The symbols in use, each after those it uses, in order of first use.

    Raises:
        ValueError: a symbol is missing, doubled, or inside itself.
    """
    known = {symbol.key: symbol for symbol in drawing.symbols}
    if len(known) != len(drawing.symbols):
        raise ValueError("two symbols of a drawing share a key")
    done: dict[str, Symbol] = {}
    opened: set[str] = set()

    def visit(elements: Iterable[Element]) -> None:
        for key in dict.fromkeys(e.symbol for e in elements if isinstance(e, Use)):
            if key in done:
                continue
            if key not in known:
                raise ValueError(f"symbol {key!r} is used but not in the drawing")
            if key in opened:
                raise ValueError(f"symbol {key!r} contains itself")
            opened.add(key)
            visit(known[key].elements)
            done[key] = known[key]

    for page in drawing.pages:
        for layer in page.layers:
            visit(layer.elements)
    return tuple(done.values())


def paints_of(element: Element) -> Iterator[Paint]:
    """The paints an element itself names."""
    if isinstance(element, Label):
        yield element.paint
    elif isinstance(element, Shape):
        if element.fill is not None:
            yield element.fill
        if element.stroke is not None:
            yield element.stroke.paint


def _all_elements(drawing: Drawing, symbols: tuple[Symbol, ...]) -> Iterator[Element]:
    for symbol in symbols:
        yield from symbol.elements
    for page in drawing.pages:
        for layer in page.layers:
            yield from layer.elements


def _fits(box: tuple[float, float, float, float], width: float, height: float) -> bool:
    slack = 1e-6  # mm, for rounding [source: workshop-choice]
    x0, y0, x1, y1 = box
    return -slack <= x0 < x1 <= width + slack and -slack <= y0 < y1 <= height + slack


def _check_numbers(element: Element) -> None:
    numbers: tuple[float, ...]
    match element:
        case Shape(path=path, stroke=stroke):
            numbers = (stroke.width_mm, *stroke.dash_mm) if stroke else ()
            if numbers and min(numbers) < 0.0:
                raise ValueError(f"shape {element.name!r} has a negative width or dash")
            if not np.isfinite(path.points).all():
                numbers = (math.nan,)
        case Label():
            numbers = (element.x_mm, element.y_mm, element.size_pt, element.rotation_deg)
        case Use(affine=affine):
            numbers = affine.coefficients
        case Picture():
            numbers = (element.x_mm, element.y_mm, element.width_mm, element.height_mm)
    if not all(map(math.isfinite, numbers)):
        raise ValueError(f"{type(element).__name__} holds a number that is not finite")
