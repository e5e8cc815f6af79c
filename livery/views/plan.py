"""A plan of one item in one size: every surface with its limits and its decals, dimensioned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import atan2, degrees

from livery.drawing import Drawing, Element
from livery.limits import RuleBook
from livery.placement import Layout, Placement, books_in_force, decal_symbols
from livery.placement.intent import Box
from livery.scheme.model import ItemKind, Scheme
from livery.views.facts import findings_on, is_broken, item_words, nearest_limit, tenths
from livery.views.frame import (
    INK,
    LIMIT,
    MARGIN_MM,
    SCALES,
    WIDE_A3_MM,
    draw_foot,
    draw_head,
    make_page,
    scale_words,
    season_words,
)
from livery.views.plan_notes import Sheet, draw_notes
from livery.views.surface_cell import RIGHT_MM, Cell, box_of, cell_size_mm, draw_cell, place_cell
from livery.views.tables import Column, Row, fill_pages, row_height_mm

_NOTES_MM = 62.0  # width of the column of notes [source: workshop-choice]
_TOP_MM, _FOOT_MM = WIDE_A3_MM[1] - 26.0, 12.0
_ROW_MM = WIDE_A3_MM[0] - 2 * MARGIN_MM - _NOTES_MM
_TABLE_PT = 6.5
_TABLE_MM = 100.0  # highest table beneath the surfaces [source: workshop-choice]
_NAMES_MM = 60.0  # widest room for names beside a surface [source: workshop-choice]
_COLUMNS = (
    Column("No.", 8.0, "text-bold"),
    Column("Decal, placement", 92.0),
    Column("Surface", 28.0),
    Column("Width × height", 32.0),
    Column("Top", 17.0),
    Column("Middle", 17.0),
    Column("Foot", 17.0),
    Column("Across", 24.0),
    Column("Turned", 34.0),
    Column("Size", 18.0),
    Column("Nearest limit of place", 109.0),
)


def surface_plan(
    scheme: Scheme, layout: Layout, books: Sequence[RuleBook] | None = None
) -> Drawing:
    """Every surface of one item in one size: zones, limits, datums, decals, dimensions.

    Args:
        scheme: the season.
        layout: the item with its decals.
        books: rule books in force; the season's unless given.

    Returns:
        An A3 page at a stated scale, its decals in a table beneath; where those are too many,
        in tables on pages of their own.

    Raises:
        SeasonError: a rule book cannot be read.
        ArtworkError: a name holds a character that the packaged fonts do not.
    """
    in_force = tuple(books_in_force(scheme) if books is None else books)
    fills = {ink.key: ink.lab for ink in scheme.palette.inks}
    numbers = _number(layout)
    rows = _table_rows(layout, numbers, in_force)
    beneath = _table_mm(rows) <= _TABLE_MM
    floor = _FOOT_MM + (_table_mm(rows) if beneath else 0.0)
    boxes = _standing(layout)
    reduction = _choose_scale(list(boxes.values()), _TOP_MM - floor - 2.0)
    title = f"{item_words(layout.item)}, for a {layout.item.hand}-hander"
    if layout.order:
        title += f": {layout.order}, {layout.player}"
    under = f"{season_words(scheme)}  ·  {_frame_words(layout)}"
    notes = (WIDE_A3_MM[0] - MARGIN_MM - _NOTES_MM + 4.0, floor, WIDE_A3_MM[0] - MARGIN_MM, _TOP_MM)
    elements: list[Element] = draw_head(title, under, f"Scale {scale_words(reduction)}", WIDE_A3_MM)
    for cell in _cells(layout, boxes, reduction, numbers):
        elements += draw_cell(cell, in_force, fills)
    elements += draw_notes(Sheet(layout, in_force, fills, reduction), notes)
    top = floor + 1.0 if beneath else _TOP_MM
    tables = fill_pages(
        _COLUMNS, rows, (MARGIN_MM, _FOOT_MM, WIDE_A3_MM[0] - MARGIN_MM, top), _TABLE_PT
    )
    if beneath:
        elements += [element for table in tables for element in table]
        tables = []
    foot = draw_foot("Every surface is laid flat at true length. Lengths in mm.", WIDE_A3_MM)
    pages = [
        elements,
        *([*draw_head(title, under, "Decals", WIDE_A3_MM), *each] for each in tables),
    ]
    made = tuple(make_page([*page, *foot], WIDE_A3_MM, title) for page in pages)
    return Drawing(title, made, decal_symbols([layout], scheme.palette), scheme.date)


def _number(layout: Layout) -> dict[str, int]:
    """A number for each placement, surface by surface from the top down."""
    order = {surface.key: index for index, surface in enumerate(layout.item.surfaces)}
    placed = sorted(layout.placements, key=lambda p: (order[p.surface], p.box[1], p.key))
    return {placement.key: number for number, placement in enumerate(placed, start=1)}


def _standing(layout: Layout) -> dict[str, Box]:
    """What surfaces that stand in the row take up; a bat's toe lies among the notes."""
    surfaces = [surface for surface in layout.item.surfaces if surface.key != "toe"]
    return {surface.key: box_of(layout, surface) for surface in surfaces}


def _frame_words(layout: Layout) -> str:
    if layout.item.kind is ItemKind.BAT:
        return "heights from the bottom of the grip towards the toe, across from the centre line"
    return "heights from the middle of each panel downwards, across from its centre line"


def _choose_scale(boxes: Sequence[Box], height_mm: float) -> float:
    """The smallest stated reduction at which the surfaces stand in rows on the page."""
    for reduction in SCALES:
        rows = _in_rows(boxes, reduction)
        if sum(_row_height_mm(row, reduction) for row in rows) <= height_mm and all(
            _row_width_mm(row, reduction) <= _ROW_MM for row in rows
        ):
            return reduction
    return SCALES[-1]


def _in_rows(boxes: Sequence[Box], reduction: float) -> list[list[Box]]:
    """Surfaces in their order, a new row where one is full."""
    rows: list[list[Box]] = [[]]
    for box in boxes:
        if rows[-1] and _row_width_mm([*rows[-1], box], reduction) > _ROW_MM:
            rows.append([])
        rows[-1].append(box)
    return rows


def _row_width_mm(row: Sequence[Box], reduction: float) -> float:
    return sum(cell_size_mm(box, reduction)[0] for box in row)


def _row_height_mm(row: Sequence[Box], reduction: float) -> float:
    return max(cell_size_mm(box, reduction)[1] for box in row)


def _cells(
    layout: Layout, boxes: Mapping[str, Box], reduction: float, numbers: Mapping[str, int]
) -> Iterator[Cell]:
    top, keys = _TOP_MM, iter(boxes)
    for row in _in_rows(list(boxes.values()), reduction):
        spare = max(0.0, _ROW_MM - _row_width_mm(row, reduction)) / len(row)
        room, left = min(_NAMES_MM, RIGHT_MM + spare), MARGIN_MM
        for box in row:
            place = place_cell(box, left, top, reduction)
            surface = layout.item.surface(next(keys))
            yield Cell(layout, surface, box, place, reduction, numbers, room)
            left += cell_size_mm(box, reduction)[0] + spare
        top -= _row_height_mm(row, reduction)


def _table_mm(rows: Sequence[Row]) -> float:
    head = Row(tuple(column.title for column in _COLUMNS))
    return sum(row_height_mm(_COLUMNS, row, _TABLE_PT) for row in (head, *rows))


def _table_rows(layout: Layout, numbers: Mapping[str, int], books: Sequence[RuleBook]) -> list[Row]:
    placed = sorted(layout.placements, key=lambda placement: numbers[placement.key])
    return [_table_row(layout, p, numbers[p.key], books) for p in placed]


def _table_row(layout: Layout, placement: Placement, number: int, books: Sequence[RuleBook]) -> Row:
    x0, y0, x1, y1 = placement.box
    across = (x0 + x1) / 2
    side = "right" if across > 0 else "left"
    words = " / ".join(text for _, text in placement.decal.texts if text)
    name = f"{placement.decal.name}, {placement.key}" + (f" “{words}”" if words else "")
    broken = is_broken(findings_on(layout, placement))
    cells = (
        str(number),
        name,
        layout.item.surface(placement.surface).name.lower(),
        f"{x1 - x0:.1f} × {y1 - y0:.1f}",
        *map(tenths, (y0, (y0 + y1) / 2, y1)),
        "centre" if abs(across) < 0.05 else f"{abs(across):.1f} {side}",
        _turned(placement),
        f"{100 * placement.scale:.1f} %",
        nearest_limit(layout, placement, books),
    )
    return Row(cells, LIMIT if broken else INK)


def _turned(placement: Placement) -> str:
    """Degrees counter-clockwise as seen, and whether the artwork is reflected."""
    a, b, _, _, _, _ = placement.affine.coefficients
    turn = degrees(atan2(b, -a) if placement.mirrored else atan2(-b, a))
    words = [] if abs(turn) < 0.005 else [f"{turn:.2f}".rstrip("0").rstrip(".") + "°"]
    return ", ".join([*words, *(["mirrored"] if placement.mirrored else [])])
