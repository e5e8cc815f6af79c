"""Type set on a page: lines that fit their width, paragraphs, rules and tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from livery.artwork.typesetting import leading_mm, wrap_text
from livery.drawing import A4_MM, Anchor, Element, Label, LabPaint, Paint, Shape, Stroke
from livery.geometry import Path

PAGE_MM = A4_MM
MARGIN_MM = 15.0
"""Page margin (workshop choice)."""
_TICK_MM = 2.8

INK = LabPaint((18.0, 0.0, -3.0))
SOFT = LabPaint((48.0, 0.0, -4.0))
FAINT = LabPaint((86.0, 0.0, -1.0))
PAPER = LabPaint((96.5, 0.0, 1.5))
ALERT = LabPaint((46.0, 58.0, 38.0))
"""Colours of documents (workshop choice)."""


def rule_line(x0: float, x1: float, y: float, paint: Paint = FAINT, width_mm: float = 0.2) -> Shape:
    """A horizontal line."""
    path = Path.polyline([(x0, y), (x1, y)], closed=False)
    return Shape(path, None, Stroke(paint, width_mm))


def filled_box(
    x0: float, y0: float, x1: float, y1: float, paint: Paint | None, edge: Paint | None = None
) -> Shape:
    """A rectangle, filled, edged or both."""
    stroke = None if edge is None else Stroke(edge, 0.2)
    return Shape(Path.rectangle(x0, y0, x1, y1), paint, stroke)


def tick_box(x: float, y: float, side_mm: float = 3.6) -> Shape:
    """An empty box to tick, standing on a baseline."""
    return Shape(Path.rectangle(x, y - 0.5, x + side_mm, y - 0.5 + side_mm), None, Stroke(INK, 0.3))


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading, width in mm, which side its words stand, or boxes to tick."""

    title: str
    width_mm: float
    anchor: Anchor = Anchor.START
    ticks: bool = False


@dataclass(slots=True)
class Flow:
    """Pages filled from the top, a new one begun where the next thing does not fit.

    Attributes:
        top_mm, bottom_mm: of the space that may be filled, from the page's bottom.
        pages: elements of each page.
    """

    top_mm: float
    bottom_mm: float
    pages: list[list[Element]] = field(default_factory=lambda: [[]])
    y: float = 0.0

    def __post_init__(self) -> None:
        self.y = self.top_mm

    def need(self, height_mm: float) -> bool:
        """Begin a new page unless so much is free; true where it did."""
        if self.y - height_mm >= self.bottom_mm or self.y == self.top_mm:
            return False
        self.pages.append([])
        self.y = self.top_mm
        return True

    def add(self, *elements: Element) -> None:
        """Draw on the page being filled."""
        self.pages[-1].extend(elements)

    def heading(self, text: str, accent: Paint) -> None:
        """A heading that keeps at least some lines of what follows on its page."""
        self.need(24.0)
        self.y -= 8.0
        self.add(Label(text, MARGIN_MM, self.y, 12.0, accent, font="display"))
        self.y -= 2.2
        self.add(rule_line(MARGIN_MM, PAGE_MM[0] - MARGIN_MM, self.y, accent, 0.35))
        self.y -= 1.6

    def paragraph(
        self,
        text: str,
        size_pt: float = 8.5,
        font: str = "text",
        paint: Paint = INK,
        indent_mm: float = 0.0,
    ) -> None:
        """Running text across the page."""
        width = PAGE_MM[0] - 2 * MARGIN_MM - indent_mm
        for line in wrap_text(text, size_pt, width, font):
            self.need(leading_mm(size_pt))
            self.y -= leading_mm(size_pt)
            x = MARGIN_MM + indent_mm
            self.add(Label(line, x, self.y, size_pt, paint, font=font))
        self.y -= 0.35 * leading_mm(size_pt)

    def table(
        self, columns: Sequence[Column], rows: Sequence[Sequence[str]], size_pt: float = 7.0
    ) -> None:
        """A table whose cells wrap and whose heading comes again on each page."""
        heads = [column.title for column in columns]
        self.need(3 * leading_mm(size_pt))
        self._row(columns, heads, size_pt, "text-bold", SOFT)
        for row in rows:
            height = _row_height(columns, row, size_pt)
            if self.need(height):
                self._row(columns, heads, size_pt, "text-bold", SOFT)
            x, y = MARGIN_MM, self.y - 0.5 * (height + _TICK_MM) + 0.5
            for column in columns:
                if column.ticks:
                    self.add(tick_box(x, y, _TICK_MM))
                x += column.width_mm
            self._row(columns, row, size_pt, "text", INK)

    def _row(
        self,
        columns: Sequence[Column],
        cells: Sequence[str],
        size_pt: float,
        font: str,
        paint: Paint,
    ) -> None:
        step, x = leading_mm(size_pt), MARGIN_MM
        height = _row_height(columns, cells, size_pt, font)
        for column, cell in zip(columns, cells, strict=True):
            inner = column.width_mm - 2.0
            at = x + inner if column.anchor is Anchor.END else x
            for index, line in enumerate(wrap_text(cell, size_pt, inner, font)):
                y = self.y - step * (index + 1) - 0.2
                self.add(Label(line, at, y, size_pt, paint, column.anchor, 0.0, font))
            x += column.width_mm
        self.y -= height
        self.add(rule_line(MARGIN_MM, PAGE_MM[0] - MARGIN_MM, self.y, FAINT, 0.15))


def table_height(columns: Sequence[Column], rows: Sequence[Sequence[str]], size_pt: float) -> float:
    """How far down the page a table reaches, mm, its heading included."""
    head = _row_height(columns, [column.title for column in columns], size_pt, "text-bold")
    return head + sum(_row_height(columns, row, size_pt) for row in rows)


def _row_height(
    columns: Sequence[Column], cells: Sequence[str], size_pt: float, font: str = "text"
) -> float:
    lines = [
        len(wrap_text(cell, size_pt, column.width_mm - 2.0, font))
        for column, cell in zip(columns, cells, strict=True)
    ]
    return max(lines) * leading_mm(size_pt) + 1.4
