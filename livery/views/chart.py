"""The grading chart: every size, and both hands where they differ, side by side at one scale."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from livery.artwork.typesetting import fit_line, line_width_mm
from livery.drawing import Anchor, Drawing, Element, LabColour, Label, LabPaint, Shape, Stroke
from livery.geometry import Path
from livery.kit import BatView, draw_item, place_on_page, surface_place
from livery.kit.drawing_style import DrawingStyle
from livery.limits import Check, RuleBook, Severity
from livery.limits.scene import governs
from livery.limits.values import number
from livery.placement import Layout, books_in_force, decal_symbols, draw_placed
from livery.scheme.model import ItemKind, Scheme
from livery.units import mm_to_inch
from livery.views.chart_pages import (
    GAP_MM,
    HEAD_MM,
    LEAST_MM,
    TITLE_MM,
    WORDS_MM,
    Block,
    ChartPlan,
    height_of,
    width_of,
)
from livery.views.columns import Column, pair_bounds
from livery.views.frame import (
    INK,
    LIMIT,
    MARGIN_MM,
    SOFT,
    draw_foot,
    draw_head,
    draw_scale_rule,
    make_page,
    scale_words,
    season_words,
)

_WORDS_PT = 5.5
_STYLE = DrawingStyle(line_mm=0.14, fine_mm=0.06)


def grading_chart(
    scheme: Scheme, plan: ChartPlan, books: Sequence[RuleBook] | None = None
) -> Drawing:
    """All models, sizes and hands at one scale, face and back, with their decals.

    Args:
        scheme: the season.
        plan: what stands where.
        books: rule books in force; the season's unless given.

    Returns:
        The pages of the plan, each with its scale stated and a rule.

    Raises:
        SeasonError: a rule book cannot be read.
        ArtworkError: a name holds a character that the packaged fonts do not.
    """
    in_force = tuple(books_in_force(scheme) if books is None else books)
    title = f"{scheme.name}: every size and hand"
    fills = {ink.key: ink.lab for ink in scheme.palette.inks}
    pages = []
    for page, shelves in enumerate(plan.pages, start=plan.first):
        numbered = f"{title}, page {page} of {plan.count}" if plan.count > 1 else title
        elements = _draw_page(plan, shelves, fills, in_force, numbered, season_words(scheme))
        pages.append(make_page(elements, plan.size_mm, numbered))
    symbols = decal_symbols(plan.layouts, scheme.palette)
    return Drawing(title, tuple(pages), symbols, scheme.date)


def _draw_page(
    plan: ChartPlan,
    shelves: Sequence[Sequence[Block]],
    fills: Mapping[str, LabColour],
    books: Sequence[RuleBook],
    title: str,
    words: str,
) -> list[Element]:
    under = f"{words}  ·  bats hang from the bottom of the grip"
    elements = draw_head(title, under, f"Scale {scale_words(plan.reduction)}", plan.size_mm)
    y = plan.size_mm[1] - HEAD_MM
    for shelf in shelves:
        x = MARGIN_MM
        for block in shelf:
            elements += _draw_block(block, x, y, fills, books)
            x += block.width_mm
        y -= height_of(shelf)
    elements += draw_scale_rule(MARGIN_MM + 2.0, 12.0, plan.reduction, 100.0)
    return [
        *elements,
        *draw_foot("A decal's size is told against its nominal width.", plan.size_mm),
    ]


def _draw_block(
    block: Block,
    left: float,
    top: float,
    fills: Mapping[str, LabColour],
    books: Sequence[RuleBook],
) -> list[Element]:
    """A block from its upper left corner: title, pictures, words beneath."""
    elements: list[Element] = [Label(block.title, left, top - 4.0, 8.5, INK, font="text-bold")]
    level = top - TITLE_MM - block.above_mm
    if block.is_bat:
        elements += _guides(block, left, top, books)
    x, words_y = left, top - block.height_mm + WORDS_MM
    for column in block.columns:
        elements += _pictures(column, x, level, block.reduction, block.view, fills)
        elements += _words(column, x, words_y, block.reduction)
        x += width_of(column, block.reduction)
    return elements


def _pictures(
    column: Column,
    x: float,
    level: float,
    reduction: float,
    view: BatView,
    fills: Mapping[str, LabColour],
) -> Iterator[Element]:
    placed = pair_bounds(column.layouts, view)
    wide = (placed[-1][0] + placed[-1][1][2]) / reduction
    x += (width_of(column, reduction) - GAP_MM - wide) / 2
    for layout, (shift, _) in zip(column.layouts, placed, strict=True):
        place = place_on_page(x + shift / reduction, level, 1.0 / reduction)
        yield from draw_item(layout.item, place, view, fills, _STYLE)
        keys = [view.value] if layout.item.kind is ItemKind.BAT else _surfaces(layout)
        for key in keys:
            lies = surface_place(layout.item, key, place)
            if lies is not None:
                yield from draw_placed(layout, key, lies)


def _surfaces(layout: Layout) -> list[str]:
    return [surface.key for surface in layout.item.surfaces]


def _words(column: Column, x: float, y: float, reduction: float) -> Iterator[Element]:
    room = width_of(column, reduction) - GAP_MM
    middle = x + room / 2
    lines: list[tuple[str, str, LabPaint]] = [
        (column.size_words, "text-bold", INK),
        (column.hand_words, "text", INK),
        (column.measure_words, "text", SOFT),
        (column.scale_words, "text", SOFT),
    ]
    if column.broken:
        lines.append((f"limits broken: {column.broken}", "text-bold", LIMIT))
    y -= 2.6
    for words, font, paint in lines:
        if words:
            yield fit_line(
                words, middle, y, _WORDS_PT, room + GAP_MM - 2.0, font, paint, Anchor.MIDDLE
            )
            y -= 2.35


def _guides(block: Block, left: float, top: float, books: Sequence[RuleBook]) -> Iterator[Element]:
    """Lines across the bats: the bottom of the grip, and how far from it decals may reach."""
    level, end = top - TITLE_MM - block.above_mm, left + block.width_mm - 2 * GAP_MM
    yield _line(left, end, level, Stroke(SOFT, 0.08, (2.4, 0.8, 0.6, 0.8)))
    x = left + line_width_mm(block.title, "text-bold", 8.5) + 4.0
    for book, within in _reaches(books, block.view):
        y = level - within / block.reduction
        yield _line(left, end, y, Stroke(LIMIT, 0.18, (1.6, 0.7)))
        yield _line(x, x + 6.0, top - 3.2, Stroke(LIMIT, 0.18, (1.6, 0.7)))
        words = f"{within:.1f} mm ({mm_to_inch(within):.2f} in) from the grip, {book}"
        room = left + block.width_mm - x - 8.0
        if room > LEAST_MM:
            yield fit_line(words, x + 7.0, top - 4.0, 6.0, room, "text", LIMIT)
        x += 7.0 + line_width_mm(words, "text", 6.0) + 4.0


def _reaches(books: Sequence[RuleBook], view: BatView) -> Iterator[tuple[str, float]]:
    """(book, mm) of each limit on how far from the bottom of the grip decals may reach."""
    for book in books:
        for rule in book.rules:
            if (
                rule.check == Check.CONFINED_WITHIN
                and rule.severity is Severity.LIMIT
                and rule.parameters["datum"] == "grip-bottom"
                and governs(rule, view.value)
            ):
                yield book.key, number(rule, "within")


def _line(x0: float, x1: float, y: float, stroke: Stroke) -> Shape:
    return Shape(Path.polyline([(x0, y), (x1, y)], closed=False), None, stroke)
