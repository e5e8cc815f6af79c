"""Which sizes stand where on the grading chart: page, scale, shelves and blocks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from livery.drawing import A1_MM, A2_MM
from livery.kit import BatView
from livery.placement import Layout
from livery.scheme.model import ItemKind
from livery.views.columns import Column, columns_of, views_of
from livery.views.frame import MARGIN_MM, SCALES, WIDE_A3_MM

PAGES_MM = (WIDE_A3_MM, A2_MM[::-1], A1_MM[::-1])
"""The first on which bats are drawn at 1 : 10 or larger."""
_SMALLEST = 10.0  # reduction at which a larger page is better [source: workshop-choice]
_LEAST_READ = 20.0  # reduction beyond which decals are specks [source: workshop-choice]
HEAD_MM, _FOOT_MM = 28.0, 20.0
TITLE_MM, WORDS_MM, GAP_MM = 6.0, 13.5, 5.0
LEAST_MM = 15.0  # of a column, for the words beneath [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
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
        return sum(width_of(column, self.reduction) for column in self.columns) + GAP_MM

    @property
    def height_mm(self) -> float:
        """With its title and words."""
        below = max(column.size_mm[2] for column in self.columns) / self.reduction
        return TITLE_MM + self.above_mm + below + WORDS_MM


@dataclass(frozen=True, slots=True, eq=False)
class ChartPlan:
    """Shelves of blocks on pages of one size at one scale.

    Attributes:
        size_mm: of each page.
        reduction: 10 for a scale of 1 : 10.
        pages: the shelves of each.
        first: number of the first of them, from 1.
        count: pages of the whole chart.
    """

    size_mm: tuple[float, float]
    reduction: float
    pages: tuple[Sequence[Sequence[Block]], ...]
    first: int
    count: int

    def page(self, number: int) -> ChartPlan:
        """This page alone, from 1 to ``count``."""
        return replace(self, pages=(self.pages[number - self.first],), first=number)

    @property
    def layouts(self) -> list[Layout]:
        """What these pages show."""
        blocks = (block for shelves in self.pages for shelf in shelves for block in shelf)
        return [one for block in blocks for column in block.columns for one in column.layouts]


def plan_chart(layouts: Sequence[Layout]) -> ChartPlan:
    """Every model's columns on pages of the smallest size that serves.

    Args:
        layouts: the season's; those of its range are shown, not those of orders.
    """
    models: dict[str, list[Layout]] = {}
    for layout in layouts:
        if not layout.order:
            models.setdefault(layout.item.key, []).append(layout)
    columns = [columns_of(group) for group in models.values()]
    size_mm, reduction = _choose_page(columns)
    shelves = _shelves(_blocks(columns, reduction, size_mm[0]), size_mm[0])
    pages = tuple(_turn_over(shelves, _room_mm(size_mm)))
    return ChartPlan(size_mm, reduction, pages, 1, len(pages))


def _turn_over(
    shelves: Sequence[Sequence[Block]], room_mm: float
) -> Iterator[Sequence[Sequence[Block]]]:
    """Shelves page by page, a new page where one is full."""
    page: list[Sequence[Block]] = []
    for shelf in shelves:
        if page and sum(map(height_of, [*page, shelf])) > room_mm:
            yield page
            page = []
        page.append(shelf)
    yield page


def height_of(shelf: Sequence[Block]) -> float:
    """A shelf's height, mm."""
    return max(block.height_mm for block in shelf)


def _room_mm(page_mm: tuple[float, float]) -> float:
    return page_mm[1] - HEAD_MM - _FOOT_MM


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
    height = sum(map(height_of, shelves))
    room = page_mm[0] - 2 * MARGIN_MM + GAP_MM
    return (
        height <= _room_mm(page_mm)
        and max((block.width_mm for block in blocks), default=0.0) <= room
    )


def _blocks(
    models: Sequence[Sequence[Column]], reduction: float, page_mm: float
) -> tuple[Block, ...]:
    """Each model's columns in as many blocks as the page's width asks for, from each side."""
    blocks: list[Block] = []
    for columns in models:
        for part in _parts(columns, reduction, page_mm - 2 * MARGIN_MM):
            blocks += [Block(part, view, side, reduction) for side, view in views_of(part)]
    return tuple(blocks)


def _parts(
    columns: Sequence[Column], reduction: float, room_mm: float
) -> Iterator[tuple[Column, ...]]:
    part: list[Column] = []
    for column in columns:
        if part and sum(width_of(c, reduction) for c in [*part, column]) > room_mm:
            yield tuple(part)
            part = []
        part.append(column)
    yield tuple(part)


def _shelves(blocks: Sequence[Block], page_mm: float) -> list[list[Block]]:
    """Blocks in their order, a new shelf where one is full."""
    room = page_mm - 2 * MARGIN_MM + GAP_MM
    shelves: list[list[Block]] = []
    for block in blocks:
        if not shelves or sum(b.width_mm for b in [*shelves[-1], block]) > room:
            shelves.append([])
        shelves[-1].append(block)
    return shelves


def width_of(column: Column, reduction: float) -> float:
    """A column's width with the gap at its right, mm."""
    return max(LEAST_MM, column.size_mm[0] / reduction) + GAP_MM
