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
LEAST_SLUG_LINE_MM = 2.2
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
        row: the lowest printed row: check rule, plates' names and bottom crosses.
        band: slug and control strip.
        code: lower left corner of the code, which reaches down into the row beside the strip.
        strip: lower left corners of the control strip's groups, in the order asked for.
        crosses: middles of the registration crosses.
    """

    width_mm: float
    height_mm: float
    usable: Box
    row: Box
    band: Box
    code: tuple[float, float]
    strip: tuple[StripCell, ...]
    crosses: tuple[tuple[float, float], ...]


def divide_sheet(
    profile: PrintProfile, groups_mm: tuple[float, ...], slug_lines: int = SLUG_LINES
) -> Frame:
    """Divide the stock.

    Args:
        profile: stock, margins and mark sizes.
        groups_mm: widths of the control strip's groups of patches.
        slug_lines: how many lines of words the slug has.

    Source: [source: workshop-choice].
    """
    width, height = profile.stock_width_mm, profile.stock_height_mm
    margin = _margin(profile)
    foot = max(0.0 if profile.roll else profile.gripper_mm, CLEARANCE_MM)
    row_top = foot + profile.cross_mm + 2 * CLEARANCE_MM
    left, right = margin, width - margin
    below = right - left - CODE_MM - SLUG_WIDTH_MM - 2 * CLEARANCE_MM < max(groups_mm, default=0.0)
    start = left if below else left + CODE_MM + SLUG_WIDTH_MM + 2 * CLEARANCE_MM
    lines = _flow(groups_mm, start, right)
    pitch = profile.control_patch_mm + STRIP_LABEL_MM + CLEARANCE_MM
    last = max((line for line, _ in lines), default=-1)
    strip_height = pitch * (last + 1)
    words_height = max(SLUG_LINE_MM * SLUG_LINES, LEAST_SLUG_LINE_MM * slug_lines)
    text_height = max(words_height, CODE_MM - (0.0 if below else row_top - foot))
    stacked = strip_height + text_height if below else max(strip_height, text_height)
    band_top = row_top + stacked + CLEARANCE_MM
    cells = tuple(StripCell(x, row_top + (last - line) * pitch) for line, x in lines)
    usable = (left, band_top + CLEARANCE_MM, right, height - margin)
    words_foot = row_top + (strip_height if below else 0.0)
    return Frame(
        width,
        height,
        usable,
        (left, foot, right, row_top),
        (left, words_foot, right, band_top),
        (left, words_foot if below else foot),
        cells,
        _crosses(profile, foot, (band_top + height) / 2, usable),
    )


def slug_width_mm(profile: PrintProfile) -> float:
    """Width that the slug's words have, right of the code."""
    across = profile.stock_width_mm - 2 * _margin(profile) - CODE_MM - CLEARANCE_MM
    return min(SLUG_WIDTH_MM, across)


def least_usable_mm(profile: PrintProfile) -> float:
    """Least height for decals at which the cutter's marks keep apart: a roll is cut no shorter."""
    return 6.0 * _mark_mm(profile)


def outer_mark_mm(profile: PrintProfile, height_mm: float) -> float:
    """How far within the ends of a height the middles of the outer cutter's marks stand."""
    least = _mark_mm(profile) / 2.0 + CLEARANCE_MM
    return max(min(profile.cutter_inset_mm, height_mm / 4.0), least)


def _mark_mm(profile: PrintProfile) -> float:
    return 0.0 if profile.cutter_mark is CutterMark.NONE else profile.cutter_mark_mm


def _margin(profile: PrintProfile) -> float:
    return max(profile.margin_mm, max(profile.cross_mm, _mark_mm(profile)) + 2 * CLEARANCE_MM)


def _crosses(
    profile: PrintProfile, foot: float, middle: float, usable: Box
) -> tuple[tuple[float, float], ...]:
    """Crosses at the corners and the sides' middles.

    On short stock, where the cutter's marks leave them no room, none stand half way up.
    """
    width, height = profile.stock_width_mm, profile.stock_height_mm
    inset = _margin(profile) - profile.cross_mm / 2 - CLEARANCE_MM
    low = foot + profile.cross_mm / 2 + CLEARANCE_MM
    mark = _mark_mm(profile)
    apart = (mark + profile.cross_mm) / 2 + CLEARANCE_MM
    outer = outer_mark_mm(profile, usable[3] - usable[1])
    free = usable[1] + outer + 2 * mark + apart, usable[3] - outer - apart
    beside = mark == 0.0 or free[0] < middle < free[1]
    heights = (low, middle, height - inset) if beside else (low, height - inset)
    spots = [(x, y) for y in heights for x in (inset, width / 2, width - inset)]
    return tuple((x, y) for x, y in spots if (x, y) != (width / 2, middle))


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
