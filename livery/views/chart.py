"""The grading chart: every size, and both hands where they differ, side by side at one scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

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
from livery.views.columns import Column, columns_of, pair_bounds, views_of
from livery.views.frame import (
    A3_MM,
    INK,
    LIMIT,
    MARGIN_MM,
    SCALES,
    SOFT,
    draw_foot,
    draw_head,
    draw_scale_rule,
    make_page,
    scale_words,
    season_words,
)

PAGES_MM = (A3_MM, (594.0, 420.0), (841.0, 594.0))
"""A3, A2 and A1 landscape (ISO 216): the first on which bats are drawn at 1 : 10 or larger."""
_SMALLEST = 10.0  # reduction at which a larger page is better [source: workshop-choice]
_LEAST_READ = 20.0  # reduction beyond which decals are specks [source: workshop-choice]
_HEAD_MM, _FOOT_MM = 28.0, 20.0
_TITLE_MM, _WORDS_MM, _GAP_MM = 6.0, 13.5, 5.0
_LEAST_MM = 15.0  # of a column, for the words beneath [source: workshop-choice]
_WORDS_PT = 5.5
_STYLE = DrawingStyle(line_mm=0.14, fine_mm=0.06)


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """Columns of one model side by side, seen from one side."""

    columns: tuple[Column, ...]
    view: BatView
    side: str
    reduction: float

    @property
    def title(self) -> str:
        """Model and side."""
        return ", ".join(filter(None, [self.columns[0].layouts[0].item.name, self.side]))

    @property
    def is_bat(self) -> bool:
        """Whether it shows bats."""
        return self.columns[0].layouts[0].item.kind is ItemKind.BAT

    @property
    def above_mm(self) -> float:
        """From the title's foot to the level of the items' origins."""
        return max(column.size_mm[1] for column in self.columns) / self.reduction

    @property
    def width_mm(self) -> float:
        """With a gap at its right."""
        return sum(_width_mm(column, self.reduction) for column in self.columns) + _GAP_MM

    @property
    def height_mm(self) -> float:
        """With its title and words."""
        below = max(column.size_mm[2] for column in self.columns) / self.reduction
        return _TITLE_MM + self.above_mm + below + _WORDS_MM


def grading_chart(
    scheme: Scheme, layouts: Sequence[Layout], books: Sequence[RuleBook] | None = None
) -> Drawing:
    """All models, sizes and hands at one scale, face and back, with their decals.

    Args:
        scheme: the season.
        layouts: the season's; those of its range are shown, not those of orders.
        books: rule books in force; the season's unless given.

    Returns:
        One page, A3 unless the range asks for a larger one, with its scale stated and a rule; as
        many of A3 as it takes where no page would hold the range at a scale to be read.

    Raises:
        SeasonError: a rule book cannot be read.
        ArtworkError: a name holds a character that the packaged fonts do not.
    """
    shown = [layout for layout in layouts if not layout.order]
    in_force = tuple(books_in_force(scheme) if books is None else books)
    plan = _plan(shown)
    title = f"{scheme.name}: every size and hand"
    fills = {ink.key: ink.lab for ink in scheme.palette.inks}
    pages = []
    for page, shelves in enumerate(plan.pages, start=1):
        numbered = f"{title}, page {page} of {len(plan.pages)}" if len(plan.pages) > 1 else title
        elements = _draw_page(plan, shelves, fills, in_force, numbered, season_words(scheme))
        pages.append(make_page(elements, plan.size_mm, numbered))
    symbols = decal_symbols(shown, scheme.palette)
    return Drawing(title, tuple(pages), symbols, scheme.date)


def count_chart_pages(layouts: Sequence[Layout]) -> int:
    """How many pages the grading chart of a season's layouts takes."""
    return len(_plan([layout for layout in layouts if not layout.order]).pages)


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """Shelves of blocks on pages of one size at one scale."""

    size_mm: tuple[float, float]
    reduction: float
    pages: tuple[Sequence[Sequence[_Block]], ...]


def _plan(layouts: Sequence[Layout]) -> _Plan:
    models: dict[str, list[Layout]] = {}
    for layout in layouts:
        models.setdefault(layout.item.key, []).append(layout)
    columns = [columns_of(group) for group in models.values()]
    size_mm, reduction = _choose_page(columns)
    shelves = _shelves(_blocks(columns, reduction, size_mm[0]), size_mm[0])
    return _Plan(size_mm, reduction, tuple(_turn_over(shelves, _room_mm(size_mm))))


def _turn_over(
    shelves: Sequence[Sequence[_Block]], room_mm: float
) -> Iterator[Sequence[Sequence[_Block]]]:
    """Shelves page by page, a new page where one is full."""
    page: list[Sequence[_Block]] = []
    for shelf in shelves:
        if page and sum(map(_height_mm, [*page, shelf])) > room_mm:
            yield page
            page = []
        page.append(shelf)
    yield page


def _draw_page(
    plan: _Plan,
    shelves: Sequence[Sequence[_Block]],
    fills: Mapping[str, LabColour],
    books: Sequence[RuleBook],
    title: str,
    words: str,
) -> list[Element]:
    under = f"{words}  ·  bats hang from the bottom of the grip"
    elements = draw_head(title, under, f"Scale {scale_words(plan.reduction)}", plan.size_mm)
    y = plan.size_mm[1] - _HEAD_MM
    for shelf in shelves:
        x = MARGIN_MM
        for block in shelf:
            elements += _draw_block(block, x, y, fills, books)
            x += block.width_mm
        y -= _height_mm(shelf)
    elements += draw_scale_rule(MARGIN_MM + 2.0, 12.0, plan.reduction, 100.0)
    return [
        *elements,
        *draw_foot("A decal's size is told against its nominal width.", plan.size_mm),
    ]


def _height_mm(shelf: Sequence[_Block]) -> float:
    return max(block.height_mm for block in shelf)


def _room_mm(page_mm: tuple[float, float]) -> float:
    return page_mm[1] - _HEAD_MM - _FOOT_MM


def _choose_page(models: Sequence[Sequence[Column]]) -> tuple[tuple[float, float], float]:
    """The smallest page, and on it the largest stated scale, that hold everything.

    The first page, to be turned over, where none does at a scale to be read.
    """
    best = PAGES_MM[0], math.inf
    for page in PAGES_MM:
        for reduction in SCALES:
            if _fits(models, reduction, page):
                best = page, reduction
                break
        if best[1] <= _SMALLEST:
            break
    return best if best[1] <= _LEAST_READ else (PAGES_MM[0], _SMALLEST)


def _fits(
    models: Sequence[Sequence[Column]], reduction: float, page_mm: tuple[float, float]
) -> bool:
    blocks = _blocks(models, reduction, page_mm[0])
    shelves = _shelves(blocks, page_mm[0])
    height = sum(map(_height_mm, shelves))
    room = page_mm[0] - 2 * MARGIN_MM + _GAP_MM
    return (
        height <= _room_mm(page_mm)
        and max((block.width_mm for block in blocks), default=0.0) <= room
    )


def _blocks(
    models: Sequence[Sequence[Column]], reduction: float, page_mm: float
) -> tuple[_Block, ...]:
    """Each model's columns in as many blocks as the page's width asks for, from each side."""
    blocks: list[_Block] = []
    for columns in models:
        for part in _parts(columns, reduction, page_mm - 2 * MARGIN_MM):
            blocks += [_Block(part, view, side, reduction) for side, view in views_of(part)]
    return tuple(blocks)


def _parts(
    columns: Sequence[Column], reduction: float, room_mm: float
) -> Iterator[tuple[Column, ...]]:
    part: list[Column] = []
    for column in columns:
        if part and sum(_width_mm(c, reduction) for c in [*part, column]) > room_mm:
            yield tuple(part)
            part = []
        part.append(column)
    yield tuple(part)


def _shelves(blocks: Sequence[_Block], page_mm: float) -> list[list[_Block]]:
    """Blocks in their order, a new shelf where one is full."""
    room = page_mm - 2 * MARGIN_MM + _GAP_MM
    shelves: list[list[_Block]] = []
    for block in blocks:
        if not shelves or sum(b.width_mm for b in [*shelves[-1], block]) > room:
            shelves.append([])
        shelves[-1].append(block)
    return shelves


def _width_mm(column: Column, reduction: float) -> float:
    return max(_LEAST_MM, column.size_mm[0] / reduction) + _GAP_MM


def _draw_block(
    block: _Block,
    left: float,
    top: float,
    fills: Mapping[str, LabColour],
    books: Sequence[RuleBook],
) -> list[Element]:
    """A block from its upper left corner: title, pictures, words beneath."""
    elements: list[Element] = [Label(block.title, left, top - 4.0, 8.5, INK, font="text-bold")]
    level = top - _TITLE_MM - block.above_mm
    if block.is_bat:
        elements += _guides(block, left, top, books)
    x, words_y = left, top - block.height_mm + _WORDS_MM
    for column in block.columns:
        elements += _pictures(column, x, level, block.reduction, block.view, fills)
        elements += _words(column, x, words_y, block.reduction)
        x += _width_mm(column, block.reduction)
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
    x += (_width_mm(column, reduction) - _GAP_MM - wide) / 2
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
    room = _width_mm(column, reduction) - _GAP_MM
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
                words, middle, y, _WORDS_PT, room + _GAP_MM - 2.0, font, paint, Anchor.MIDDLE
            )
            y -= 2.35


def _guides(block: _Block, left: float, top: float, books: Sequence[RuleBook]) -> Iterator[Element]:
    """Lines across the bats: the bottom of the grip, and how far from it decals may reach."""
    level, end = top - _TITLE_MM - block.above_mm, left + block.width_mm - 2 * _GAP_MM
    yield _line(left, end, level, Stroke(SOFT, 0.08, (2.4, 0.8, 0.6, 0.8)))
    x = left + line_width_mm(block.title, "text-bold", 8.5) + 4.0
    for book, within in _reaches(books, block.view):
        y = level - within / block.reduction
        yield _line(left, end, y, Stroke(LIMIT, 0.18, (1.6, 0.7)))
        yield _line(x, x + 6.0, top - 3.2, Stroke(LIMIT, 0.18, (1.6, 0.7)))
        words = f"{within:.1f} mm ({mm_to_inch(within):.2f} in) from the grip, {book}"
        room = left + block.width_mm - x - 8.0
        if room > _LEAST_MM:
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
