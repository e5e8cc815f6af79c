"""The proof's first page: whose it is, and the whole kit together to one scale."""

from __future__ import annotations

from collections.abc import Sequence

from livery.artwork.typesetting import fit_line, head_of
from livery.drawing import Anchor, Element, Label, LabPaint
from livery.placement.model import Layout
from livery.proof.model import Proof
from livery.proof.pictures import (
    GAP_MM,
    SCALES,
    View,
    draw_row,
    scale_words,
    views_of,
)
from livery.proof.setting import FAINT, INK, MARGIN_MM, PAGE_MM, SOFT, filled_box, rule_line
from livery.scheme.model import ItemKind, Order, Palette, Scheme
from livery.units import format_lb_oz

_TOP, _BOTTOM = 230.0, 24.0  # of the space for pictures (workshop choice)
_BETWEEN_MM = 8.0  # least room between bats and the rest (workshop choice)
_CAPTION_MM = 11.0  # beneath each row (workshop choice)


def draw_cover(
    scheme: Scheme, order: Order, layouts: Sequence[Layout], proof: Proof, accent: LabPaint
) -> list[Element]:
    """The first page's elements."""
    blocks, scale = _arrange(layouts)
    elements = _title(scheme, order, proof, accent)
    elements += _particulars(order, layouts)
    elements += _pictures(blocks, scale, scheme.palette)
    words = f"Kit drawn together at {scale_words(scale)}; surfaces follow, dimensioned."
    elements.append(Label(words, MARGIN_MM, 20.0, 7.0, SOFT))
    return elements


def _title(scheme: Scheme, order: Order, proof: Proof, accent: LabPaint) -> list[Element]:
    width, height = PAGE_MM
    inner = width - 2 * MARGIN_MM
    band = filled_box(0, height - 44, width, height, accent)
    pale = LabPaint((97.0, 0.0, 2.0))
    dim = LabPaint((84.0, accent.lab[1] * 0.2, accent.lab[2] * 0.2))
    side = width - MARGIN_MM
    head = head_of(scheme.workshop, f"season {scheme.name}")
    return [
        band,
        fit_line(head, MARGIN_MM, height - 14, 9.0, inner * 0.62, "text", dim),
        fit_line("Proof for " + order.player, MARGIN_MM, height - 27, 24, inner, "display", pale),
        Label(f"Revision {proof.revision}", side, height - 14, 9.0, dim, Anchor.END),
        fit_line(
            f"Order {order.key}   ·   {scheme.date or 'undated'}   ·   content {proof.short_hash}",
            MARGIN_MM,
            height - 37,
            8.5,
            inner,
            "text",
            dim,
        ),
    ]


def _particulars(order: Order, layouts: Sequence[Layout]) -> list[Element]:
    """Four boxes under the title: hand, bat, weight, gloves and pads."""
    sizes: dict[ItemKind, list[str]] = {kind: [] for kind in ItemKind}
    for layout in layouts:
        words = f"{layout.item.name}, {layout.item.size.replace('-', ' ')}"
        if words not in sizes[layout.item.kind]:
            sizes[layout.item.kind].append(words)
    weight = "not stated" if order.weight_g is None else format_lb_oz(order.weight_g)
    bats = "; ".join(sizes[ItemKind.BAT]) or "none"
    count = f"{order.quantity} × " if sizes[ItemKind.BAT] else ""
    soft = "; ".join([*sizes[ItemKind.GLOVE], *sizes[ItemKind.PAD]]) or "none"
    cells = [
        ("Batter", f"{order.hand}-handed", 28.0),
        ("Bat", count + bats, 54.0),
        ("Weight asked for", weight, 30.0),
        ("Gloves and pads", soft, 68.0),
    ]
    elements: list[Element] = []
    x, y = MARGIN_MM, PAGE_MM[1] - 54
    for name, words, width in cells:
        elements.append(fit_line(name, x, y, 7.0, width - 3, "text", SOFT))
        elements.append(fit_line(words, x, y - 5.5, 10.0, width - 3, "text-bold", INK))
        x += width
    elements.append(rule_line(MARGIN_MM, PAGE_MM[0] - MARGIN_MM, y - 9.5, FAINT))
    return elements


Rows = list[list[View]]


def _blocks(layouts: Sequence[Layout]) -> list[Rows]:
    """Bats in one block, gloves above pads in another; a row to each bat and each pair."""
    blocks: dict[bool, dict[tuple[str, str], list[View]]] = {True: {}, False: {}}
    for layout in layouts:
        item = layout.item
        rows = blocks[item.kind is ItemKind.BAT]
        rows.setdefault((item.key, item.size), []).extend(views_of(layout))
    return [list(rows.values()) for rows in blocks.values() if rows]


def _arrange(layouts: Sequence[Layout]) -> tuple[list[Rows], float]:
    """Blocks of rows, and the largest stated scale at which they fit the page together."""
    blocks = _blocks(layouts)
    width = PAGE_MM[0] - 2 * MARGIN_MM - _BETWEEN_MM * (len(blocks) - 1)
    height = _TOP - _BOTTOM
    for scale in SCALES:
        wide = sum(_width(rows, scale) for rows in blocks)
        if wide <= width and all(_height(rows, scale) <= height for rows in blocks):
            return blocks, scale
    last = SCALES[-1]
    over = max(_height(rows, last) / height for rows in blocks)
    return blocks, last * max(1.0, over, sum(_width(rows, last) for rows in blocks) / width)


def _row_width(row: Sequence[View], scale: float) -> float:
    return sum(view.size_mm[0] for view in row) / scale + GAP_MM * (len(row) - 1)


def _row_height(row: Sequence[View], scale: float) -> float:
    return max(view.size_mm[1] for view in row) / scale + _CAPTION_MM


def _width(rows: Rows, scale: float) -> float:
    return max(_row_width(row, scale) for row in rows)


def _height(rows: Rows, scale: float) -> float:
    return sum(_row_height(row, scale) for row in rows)


def _pictures(blocks: Sequence[Rows], scale: float, palette: Palette) -> list[Element]:
    """Blocks side by side with even room between them, standing on one foot line."""
    elements: list[Element] = []
    widths = [_width(rows, scale) for rows in blocks]
    free = PAGE_MM[0] - 2 * MARGIN_MM - sum(widths)
    tallest = max(_height(rows, scale) for rows in blocks)
    foot = _BOTTOM + (_TOP - _BOTTOM - tallest) / 2
    x = MARGIN_MM + free / (len(blocks) + 1)
    for rows, width in zip(blocks, widths, strict=True):
        loose = (tallest - _height(rows, scale)) / max(1, len(rows) - 1) if len(rows) > 1 else 0.0
        y = foot + (_height(rows, scale) if len(rows) == 1 else tallest)
        for row in rows:
            left = x + (width - _row_width(row, scale)) / 2
            drawn, _ = draw_row(row, left, y, scale, palette)
            elements += drawn
            y -= _row_height(row, scale) + loose
        x += width + free / (len(blocks) + 1)
    return elements
