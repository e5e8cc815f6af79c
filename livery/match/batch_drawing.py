"""A batch as a picture: L*, a* and b* of every solid along it, limits, signals, outcome."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from livery.artwork.typesetting import wrap_text
from livery.drawing import Anchor, Drawing, Element, LabPaint, Layer, LayerKind, Page, Shape, Stroke
from livery.geometry import Path
from livery.match.marks import (
    GREY,
    GROUND,
    INKED,
    LINE,
    PAGE_MM,
    PAPER,
    draw_mark,
    fit_text,
    write_text,
)
from livery.match.model import Verdict
from livery.match.print_check import name_inks
from livery.match.print_model import Outcome, PrintCheck, Series
from livery.scheme.model import Palette

_MARGIN, _HEAD, _ROW, _NAME = 12.0, 34.0, 38.0, 26.0  # workshop choice
_PER_PAGE = 3
_MARKS = {
    Outcome.ACCEPT: Verdict.PASS,
    Outcome.REJECT: Verdict.FAIL,
    Outcome.AGAIN: Verdict.RESHOOT,
}
_KEY = (
    "Along the batch: each disc a sheet, triangles where a rule of the control chart is broken. "
    "Solid line: mean. Dashed: control limits. Dotted: the aim. Rules: Western Electric, 1956."
)


def batch_drawing(check: PrintCheck, palette: Palette) -> Drawing:
    """Draw the control charts of a batch under its outcome.

    Args:
        check: as ``check_print`` gives it.
        palette: names of the inks.

    Returns:
        Pages of A4 landscape, mm.

    Source:
        [source: western-electric]; the layout is a [source: workshop-choice].
    """
    rows: dict[str, list[Series]] = {}
    for line in check.series:
        rows.setdefault(line.ink, []).append(line)
    inks = list(rows)
    pages = [
        _page(check, {ink: rows[ink] for ink in inks[at : at + _PER_PAGE]}, palette)
        for at in range(0, len(inks), _PER_PAGE)
    ] or [_page(check, {}, palette)]
    return Drawing("Print check", tuple(pages))


def _page(check: PrintCheck, rows: dict[str, list[Series]], palette: Palette) -> Page:
    elements: list[Element] = [Shape(Path.rectangle(0, 0, *PAGE_MM), fill=PAPER)]
    elements += _heading(check)
    width = (PAGE_MM[0] - 2 * _MARGIN - _NAME) / 3
    for row, (ink, lines) in enumerate(rows.items()):
        low = PAGE_MM[1] - _MARGIN - _HEAD - (row + 1) * (_ROW + 10.0) + 4.0
        lab = palette.ink(ink).lab
        square = Path.rectangle(_MARGIN, low + _ROW - 7, _MARGIN + 7, low + _ROW)
        name = fit_text(name_inks((ink,), palette), _NAME - 3, 10)
        elements += [
            Shape(square, fill=LabPaint(lab), stroke=LINE),
            write_text(name, _MARGIN, low + _ROW - 12, 10, bold=True),
        ]
        for column, line in enumerate(lines):
            x = _MARGIN + _NAME + column * width
            elements += _draw_series(line, x, low, width - 6.0)
    layer = Layer("batch", LayerKind.INFORMATION, tuple(elements))
    return Page(*PAGE_MM, (layer,), title="Print check")


def _heading(check: PrintCheck) -> list[Element]:
    top = PAGE_MM[1] - _MARGIN
    elements: list[Element] = [
        write_text("Print check", _MARGIN, top - 5, 15, bold=True),
        *draw_mark(_MARKS[check.outcome], PAGE_MM[0] - _MARGIN - 3, top - 3.4, 1.2),
        write_text(
            str(check.outcome), PAGE_MM[0] - _MARGIN - 8, top - 5, 13, bold=True, anchor=Anchor.END
        ),
        write_text(_KEY, _MARGIN, top - 11, 8),
    ]
    room = PAGE_MM[0] - 2 * _MARGIN
    lines = [line for text in (*check.reasons, *check.notes) for line in wrap_text(text, 8, room)]
    shown = lines[:4] if len(lines) <= 4 else [*lines[:3], f"… and {len(lines) - 3} more lines"]
    for number, line in enumerate(shown):
        elements.append(write_text(line, _MARGIN, top - 17 - number * 4.2, 8))
    return elements


def _draw_series(line: Series, x: float, y: float, width: float) -> list[Element]:
    """One coordinate along the batch in a box with its own scale."""
    values = np.array(line.values)
    marks = [*line.values, line.aim, *(line.chart.limits if line.chart else ())]
    low, high = min(marks), max(marks)
    room = max(high - low, 0.2) * 0.1
    scale = _ROW / (high - low + 2 * room)

    def height(value: float) -> float:
        return float(y + (value - low + room) * scale)

    right = x + width
    elements: list[Element] = [
        Shape(Path.rectangle(x, y, right, y + _ROW), fill=GROUND, stroke=LINE),
        write_text(line.coordinate, x, y + _ROW + 1.2, 8, bold=True),
        write_text(_range(line), right, y + _ROW + 1.2, 7, anchor=Anchor.END),
        _level(x, right, height(line.aim), Stroke(INKED, 0.2, (0.3, 0.7))),
    ]
    if line.chart is not None:
        elements.append(_level(x, right, height(line.chart.centre), Stroke(INKED, 0.2)))
        dashed = Stroke(INKED, 0.25, (1.6, 0.8))
        elements += [_level(x, right, height(limit), dashed) for limit in line.chart.limits]
    step = width / (values.size + 1)
    spots = [(x + (n + 1) * step, height(float(v))) for n, v in enumerate(values)]
    if len(spots) > 1:
        elements.append(Shape(Path.polyline(spots, closed=False), stroke=Stroke(GREY, 0.3)))
    broken = {signal.index for signal in (line.chart.signals if line.chart else ())}
    for number, (across, up) in enumerate(spots):
        verdict = Verdict.RESHOOT if number in broken else Verdict.PASS
        elements += draw_mark(verdict, across, up, 0.6 if number in broken else 0.35)
    return elements + _sheet_names(line.sheets, spots, y)


def _range(line: Series) -> str:
    words = f"mean {np.mean(line.values):.2f}, aim {line.aim:.2f}"
    if line.chart is not None:
        low, high = line.chart.limits
        words = f"{words}, limits {low:.2f} to {high:.2f}"
    return words.replace("-", "−")


def _level(x: float, right: float, y: float, stroke: Stroke) -> Element:
    return Shape(Path.polyline([(x, y), (right, y)], closed=False), stroke=stroke)


def _sheet_names(
    names: Sequence[str], spots: Sequence[tuple[float, float]], y: float
) -> list[Element]:
    """The first and last sheet's name under the box."""
    ends = [0] if len(names) == 1 else [0, len(names) - 1]
    return [
        write_text(fit_text(names[n], 30, 6), spots[n][0], y - 2.6, 6, anchor=Anchor.MIDDLE)
        for n in ends
    ]
