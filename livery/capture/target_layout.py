"""Where markers and patches stand on each form of target. Frame: mm, origin top-left, y down.

Every form is a grid of square cells. Markers take fixed cells on all sides, so that a corner
hidden by a thumb costs little; the other cells hold patches, in an order that spreads both the
neutrals and the neighbours of one ink over the whole form.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

# Every size, count and id: [source: workshop-choice]
PITCH_MM = 12.0  # a cell's side
PATCH_MM = 10.0
MARKER_MM = 10.0
_GAP_MM = (PITCH_MM - PATCH_MM) / 2
_STRIP_GAP_MM = 1.0  # between the cells and the strip below them


class TargetKind(StrEnum):
    """The forms of target we print: a card with a window, rails beside a blade, an A5 chart."""

    CARD = "card"
    RAILS = "rails"
    CHART = "chart"


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of the grid: its reference as printed, and its top-left corner."""

    reference: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Form:
    """The bare form of a target, all of it in mm.

    Attributes:
        marker_cells: in reading order.
        patch_cells: in the order they should be filled.
        window_mm: (x0, y0, x1, y1) to cut out, or None.
        strip_y_mm: where the strip with the rule and the wording begins.
        first_marker: id of the first marker; forms do not share ids.
    """

    kind: TargetKind
    width_mm: float
    height_mm: float
    marker_cells: tuple[Cell, ...]
    patch_cells: tuple[Cell, ...]
    window_mm: tuple[float, float, float, float] | None
    strip_y_mm: float
    first_marker: int


def form_of(kind: TargetKind) -> Form:
    """The form of that kind.

    Source:
        A5, ISO 216 [source: from-memory].
    """
    if kind is TargetKind.CARD:
        return _frame(kind, (184.0, 154.0), (14, 10), (8.0, 8.0), hole=(4, 3, 10, 7), first=0)
    if kind is TargetKind.CHART:
        return _frame(kind, (210.0, 148.0), (16, 10), (9.0, 6.0), hole=None, first=40)
    return _rails(first=80)


def _frame(
    kind: TargetKind,
    size_mm: tuple[float, float],
    counts: tuple[int, int],
    start_mm: tuple[float, float],
    *,
    hole: tuple[int, int, int, int] | None,
    first: int,
) -> Form:
    """A rectangle of cells, twelve markers round its edge, perhaps a hole in its middle.

    Args:
        kind: of target.
        size_mm: its width and height.
        counts: columns and rows.
        start_mm: the first cell's top-left corner.
        hole: columns and rows left out, (x0, y0, x1, y1), of which x1 and y1 are kept; or None.
        first: id of the first marker.
    """
    (columns, rows), (x0, y0) = counts, start_mm
    across = {0, columns // 3, columns - 1 - columns // 3, columns - 1}
    down = {0, rows // 3, rows - 1 - rows // 3, rows - 1}
    markers: list[Cell] = []
    patches: list[Cell] = []
    for row in range(rows):
        for column in range(columns):
            if hole and hole[0] <= column < hole[2] and hole[1] <= row < hole[3]:
                continue
            on_side = row in (0, rows - 1) and column in across
            on_end = column in (0, columns - 1) and row in down
            cell = _cell(column, row, x0 + column * PITCH_MM, y0 + row * PITCH_MM)
            (markers if on_side or on_end else patches).append(cell)
    window = None
    if hole:
        left, right = (x0 + column * PITCH_MM for column in hole[::2])
        top, bottom = (y0 + row * PITCH_MM for row in hole[1::2])
        window = (left, top, right, bottom)
    strip = y0 + rows * PITCH_MM + _STRIP_GAP_MM
    return Form(kind, *size_mm, tuple(markers), _spread(patches), window, strip, first)


def _rails(first: int) -> Form:
    """Two strips either side of a blade, held apart by a crosspiece beyond the toe."""
    rows, x_of_columns, y0 = 47, (4.0, 16.0, 152.0, 164.0), 6.0
    markers: list[Cell] = []
    patches: list[Cell] = []
    for row in range(rows):
        for column, x in enumerate(x_of_columns):
            cell = _cell(column, row, x, y0 + row * PITCH_MM)
            is_marker = column in (0, 3) and (row % 4 == 0 or row == rows - 1)
            (markers if is_marker else patches).append(cell)
    end = y0 + rows * PITCH_MM
    strip = end + _STRIP_GAP_MM
    window = (30.0, 0.0, 150.0, end)
    cells = tuple(markers), _spread(patches)
    return Form(TargetKind.RAILS, 180.0, strip + 23.0, *cells, window, strip, first)


def _cell(column: int, row: int, x: float, y: float) -> Cell:
    """The cell there, called A1 in the first column and row."""
    return Cell(f"{chr(ord('A') + column)}{row + 1}", x, y)


def _spread(cells: list[Cell]) -> tuple[Cell, ...]:
    """The cells in an order of which every stretch covers the form evenly.

    Each next cell is the one farthest from those already taken (ties: the earlier in reading
    order).
    """
    left = list(cells)
    order = [left.pop(0)]
    nearest = [_squared(cell, order[0]) for cell in left]
    while left:
        index = max(range(len(left)), key=lambda i: (nearest[i], -i))
        chosen = left.pop(index)
        nearest.pop(index)
        order.append(chosen)
        nearest = [min(old, _squared(c, chosen)) for old, c in zip(nearest, left, strict=True)]
    return tuple(order)


def _squared(a: Cell, b: Cell) -> float:
    """The square of how far two cells are apart, mm²."""
    return (a.x_mm - b.x_mm) ** 2 + (a.y_mm - b.y_mm) ** 2


def patch_corner(cell: Cell) -> tuple[float, float]:
    """Top-left corner of the patch printed in a cell, mm."""
    return cell.x_mm + _GAP_MM, cell.y_mm + _GAP_MM


def marker_centre(cell: Cell) -> tuple[float, float]:
    """Centre of the marker printed in a cell, mm."""
    return cell.x_mm + PITCH_MM / 2, cell.y_mm + PITCH_MM / 2
