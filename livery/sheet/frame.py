"""How a sheet of stock is divided: decals above, a band for the printer's information below.

The gripper edge is at the bottom. Nothing prints in it; above it come a row with the check rule
and crosses, then the slug, code and control strip, then the decals.
"""

from __future__ import annotations

from dataclasses import dataclass

from livery.scheme.model import CutterMark, PrintProfile

Box = tuple[float, float, float, float]

CLEARANCE_MM = 1.0
CODE_MM = 20.0
RULE_MM = 100.0
SLUG_LINE_MM = 2.6
SLUG_LINES = 6
SLUG_WIDTH_MM = 112.0
STRIP_LABEL_MM = 5.0


@dataclass(frozen=True, slots=True)
class StripCell:
    """Where a control patch stands: its lower left corner, mm."""

    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Frame:
    """The parts of a sheet, mm, as boxes (x0, y0, x1, y1).

    Attributes:
        usable: decals with their bleed lie within.
        row: the lowest printed row: check rule and bottom crosses.
        band: slug, code and control strip.
        strip: lower left corners of the control strip's groups, in the order asked for.
        crosses: middles of the registration crosses.
    """

    width_mm: float
    height_mm: float
    usable: Box
    row: Box
    band: Box
    strip: tuple[StripCell, ...]
    crosses: tuple[tuple[float, float], ...]


def divide_sheet(profile: PrintProfile, groups_mm: tuple[float, ...]) -> Frame:
    """Divide the stock.

    Args:
        profile: stock, margins and mark sizes.
        groups_mm: widths of the control strip's groups of patches.

    Source: [source: workshop-choice].
    """
    width, height = profile.stock_width_mm, profile.stock_height_mm
    mark = 0.0 if profile.cutter_mark is CutterMark.NONE else profile.cutter_mark_mm
    margin = max(profile.margin_mm, max(profile.cross_mm, mark) + 2 * CLEARANCE_MM)
    foot = max(0.0 if profile.roll else profile.gripper_mm, CLEARANCE_MM)
    row_top = foot + profile.cross_mm + 2 * CLEARANCE_MM
    left, right = margin, width - margin
    beside = right - left - CODE_MM - SLUG_WIDTH_MM - 2 * CLEARANCE_MM
    below = beside < max(groups_mm, default=0.0)
    start = left if below else left + CODE_MM + SLUG_WIDTH_MM + 2 * CLEARANCE_MM
    lines = _flow(groups_mm, start, right)
    pitch = profile.control_patch_mm + STRIP_LABEL_MM + CLEARANCE_MM
    last = max((line for line, _ in lines), default=-1)
    strip_height = pitch * (last + 1)
    text_height = max(SLUG_LINE_MM * SLUG_LINES, CODE_MM - (row_top - foot))
    stacked = strip_height + text_height if below else max(strip_height, text_height)
    band_top = row_top + stacked + CLEARANCE_MM
    cells = tuple(StripCell(x, row_top + (last - line) * pitch) for line, x in lines)
    inset = margin - profile.cross_mm / 2 - CLEARANCE_MM
    low = foot + profile.cross_mm / 2 + CLEARANCE_MM
    middle = (band_top + height) / 2
    return Frame(
        width,
        height,
        (left, band_top + CLEARANCE_MM, right, height - margin),
        (left, foot, right, row_top),
        (left, row_top + (strip_height if below else 0.0), right, band_top),
        cells,
        tuple(
            (x, y)
            for x, y in (
                (inset, low),
                (width / 2, low),
                (width - inset, low),
                (inset, middle),
                (width - inset, middle),
                (inset, height - inset),
                (width / 2, height - inset),
                (width - inset, height - inset),
            )
        ),
    )


def _flow(widths: tuple[float, ...], left: float, right: float) -> list[tuple[int, float]]:
    """Line number and x of each group, set like words in lines."""
    placed: list[tuple[int, float]] = []
    line, x = 0, left
    for width in widths:
        if x > left and x + width > right + 1e-9:
            line, x = line + 1, left
        placed.append((line, x))
        x += width + CLEARANCE_MM
    return placed
