"""Columns of the grading chart: one for each size, two where the hands differ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.kit import BatView, item_bounds
from livery.placement import Layout, Placement
from livery.scheme.model import Hand, ItemKind
from livery.units import mm_to_inch
from livery.views.facts import broken_words

_SAME_MM = 1e-6  # placements nearer than this are one [source: workshop-choice]
_PAIR_GAP_MM = 14.0  # between the two of a pair, true size [source: workshop-choice]

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One bat, or the two of a pair, in one size.

    Attributes:
        layouts: a bat's, or the left and the right one's of a pair.
        hands: whom it is for.
        size_mm: width, reach above the origin, reach below it: over all views, at true size.
    """

    layouts: tuple[Layout, ...]
    hands: tuple[Hand, ...]
    size_mm: tuple[float, float, float]

    @property
    def size_words(self) -> str:
        """The size as people say it."""
        return self.layouts[0].item.size.replace("-", " ")

    @property
    def hand_words(self) -> str:
        """``both hands``, or whose it is."""
        return "both hands" if len(self.hands) > 1 else f"{self.hands[0]}-hander"

    @property
    def measure_words(self) -> str:
        """A bat's length and width as the trade reads them, or the largest panel's width."""
        dims = self.layouts[0].item.dims
        if dims is None:
            return ""
        length, width = mm_to_inch(dims.overall_length), mm_to_inch(dims.width)
        return f"{length:.2f} × {width:.2f} in"

    @property
    def scale_words(self) -> str:
        """How large decals are against their nominal size."""
        scales = [100.0 * p.scale for layout in self.layouts for p in layout.placements]
        if not scales:
            return "no decals"
        low, high = f"{min(scales):.0f}", f"{max(scales):.0f}"
        return f"decals at {high} %" if low == high else f"decals at {low} to {high} %"

    @property
    def broken(self) -> int:
        """How many limits are broken."""
        return sum(len(broken_words(layout)) for layout in self.layouts)


def columns_of(layouts: Sequence[Layout]) -> tuple[Column, ...]:
    """Columns of one model, size by size; a hand that makes no difference has none of its own."""
    groups: dict[tuple[str, Hand], list[Layout]] = {}
    for layout in layouts:
        groups.setdefault((layout.item.size, layout.item.hand), []).append(layout)
    sizes = list(dict.fromkeys(size for size, _ in groups))
    return tuple(column for size in sizes for column in _columns_of_size(size, groups))


def _columns_of_size(size: str, groups: dict[tuple[str, Hand], list[Layout]]) -> Iterator[Column]:
    hands = [hand for hand in (Hand.RIGHT, Hand.LEFT) if (size, hand) in groups]
    pairs = [tuple(groups[size, hand]) for hand in hands]
    if len(pairs) == 2 and all(map(_alike, *pairs)):
        yield Column(pairs[0], tuple(hands), _size_mm(pairs[0]))
        return
    for hand, pair in zip(hands, pairs, strict=True):
        yield Column(pair, (hand,), _size_mm(pair))


def _alike(one: Layout, other: Layout) -> bool:
    panels = [[panel.name for panel in layout.item.panels] for layout in (one, other)]
    return (
        panels[0] == panels[1]
        and len(one.placements) == len(other.placements)
        and all(map(_same_place, one.placements, other.placements))
    )


def _same_place(one: Placement, other: Placement) -> bool:
    steps = zip(one.affine.coefficients, other.affine.coefficients, strict=True)
    return (
        one.surface == other.surface
        and one.decal.key == other.decal.key
        and all(abs(a - b) <= _SAME_MM for a, b in steps)
    )


def views_of(columns: Sequence[Column]) -> tuple[tuple[str, BatView], ...]:
    """What rows a model takes: bats are seen from both sides, gloves and pads from the front."""
    return _views(columns[0].layouts[0])


def _views(layout: Layout) -> tuple[tuple[str, BatView], ...]:
    if layout.item.kind is ItemKind.BAT:
        return (("face", BatView.FACE), ("back", BatView.BACK))
    return (("", BatView.FACE),)


def pair_bounds(layouts: Sequence[Layout], view: BatView) -> tuple[tuple[float, Bounds], ...]:
    """Each item's shift to the right and its bounds, mm at true size, beginning at 0."""
    placed: list[tuple[float, Bounds]] = []
    x = 0.0
    for layout in layouts:
        bounds = item_bounds(layout.item, view)
        placed.append((x - bounds[0], bounds))
        x += bounds[2] - bounds[0] + _PAIR_GAP_MM
    return tuple(placed)


def _size_mm(layouts: Sequence[Layout]) -> tuple[float, float, float]:
    width = above = below = 0.0
    for _, view in _views(layouts[0]):
        placed = pair_bounds(layouts, view)
        last_shift, last = placed[-1]
        width = max(width, last_shift + last[2])
        above = max(above, *(-bounds[1] for _, bounds in placed))
        below = max(below, *(bounds[3] for _, bounds in placed))
    return width, above, below
