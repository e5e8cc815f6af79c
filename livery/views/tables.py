"""Tables on pages: cells wrap, heads come again, groups have titles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from livery.artwork.typesetting import leading_mm, wrap_text
from livery.drawing import Element, Label, LabPaint
from livery.views.frame import FAINT, INK, SOFT, draw_rule

_PAD_MM = 0.9  # above and below a row's words [source: workshop-choice]
_GUTTER_MM = 3.0  # between columns [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: heading and width in mm."""

    title: str
    width_mm: float
    font: str = "text"


@dataclass(frozen=True, slots=True)
class Row:
    """Cells, one a column; or one cell that spans the table, as a group's title.

    Attributes:
        paint: of its words.
    """

    cells: tuple[str, ...]
    paint: LabPaint = INK


Box = tuple[float, float, float, float]


def fill_pages(
    columns: Sequence[Column], rows: Sequence[Row], box: Box, size_pt: float
) -> list[list[Element]]:
    """Set a table in boxes of one size, a box a page.

    Args:
        columns: together no wider than the box.
        rows: in order; one higher than the box overflows it.
        box: (x0, y0, x1, y1) on the page, mm.
        size_pt: type size.
    """
    x0, low, x1, top = box
    head = Row(tuple(column.title for column in columns), SOFT)
    bold = [Column(column.title, column.width_mm, "text-bold") for column in columns]
    pages: list[list[Element]] = []
    y = low
    for index, row in enumerate(rows):
        follows = (
            row_height_mm(columns, rows[index + 1], size_pt)
            if len(row.cells) == 1 < len(rows) - index
            else 0.0
        )
        if not pages or y - row_height_mm(columns, row, size_pt) - follows < low:
            pages.append([*_draw_row(bold, head, x0, x1, top, size_pt)])
            y = top - row_height_mm(bold, head, size_pt)
        pages[-1] += _draw_row(columns, row, x0, x1, y, size_pt)
        y -= row_height_mm(columns, row, size_pt)
    return pages


def row_height_mm(columns: Sequence[Column], row: Row, size_pt: float) -> float:
    """Height of a row with its padding."""
    count = max(len(lines) for lines in _lines(columns, row, size_pt))
    return count * leading_mm(size_pt) + 2 * _PAD_MM


def _lines(columns: Sequence[Column], row: Row, size_pt: float) -> list[tuple[str, ...]]:
    if len(row.cells) == 1:
        whole = sum(column.width_mm for column in columns)
        return [wrap_text(row.cells[0], size_pt, whole, "text-bold")]
    return [
        wrap_text(cell, size_pt, column.width_mm - _GUTTER_MM, column.font)
        for column, cell in zip(columns, row.cells, strict=True)
    ]


def _draw_row(
    columns: Sequence[Column], row: Row, x0: float, x1: float, top: float, size_pt: float
) -> list[Element]:
    elements: list[Element] = []
    step, x = leading_mm(size_pt), x0
    fonts = ["text-bold"] if len(row.cells) == 1 else [column.font for column in columns]
    for index, lines in enumerate(_lines(columns, row, size_pt)):
        for number, line in enumerate(lines, start=1):
            y = top - _PAD_MM - number * step + 0.25 * step
            elements.append(Label(line, x, y, size_pt, row.paint, font=fonts[index]))
        x += columns[index].width_mm
    elements.append(draw_rule(x0, x1, top - row_height_mm(columns, row, size_pt), FAINT))
    return elements
