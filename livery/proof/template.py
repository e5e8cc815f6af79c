"""A template at full size: decorated surfaces on A4 sheets, decals as windows to cut out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from livery.artwork.typesetting import fit_line
from livery.drawing import Anchor, Drawing, Element, Label, LabPaint, Layer, LayerKind, Page, Stroke
from livery.drawing import Shape as Drawn
from livery.geometry import Affine, Path
from livery.kit.drawing_style import on_page, place_on_page
from livery.placement.model import Layout
from livery.proof.content import item_title, layouts_of, make_proof
from livery.proof.setting import ALERT, FAINT, INK, MARGIN_MM, PAGE_MM, SOFT, rule_line
from livery.proof.surfaces import Laid, decorated_surfaces
from livery.scheme.model import ItemKind, Order, Scheme

TILE_MM = (178.0, 232.0)  # of a surface on one sheet
OVERLAP_MM = 10.0  # of two sheets, to stick together
CHECK_MM = 100.0  # length of the rules that prove the print's scale
_FOOT_MM, _SIDE_MM = 34.0, 16.0  # from the sheet's corner to the tile's
_NAMED_MM = 8.0  # a window smaller than this bears no name
_CHORD_MM = 0.02  # curves become chords this close
"""Source: workshop-choice."""

_WINDOW, _CUT = LabPaint((88.0, 0.0, 0.0)), Stroke(INK, 0.2)
_EDGE, _CENTRE = Stroke(SOFT, 0.25), Stroke(SOFT, 0.15, (4.0, 1.5, 0.8, 1.5))
_JOIN = Stroke(ALERT, 0.2, (3.0, 2.0))


@dataclass(frozen=True, slots=True)
class _Tile:
    """A part of a surface on one sheet: its box in the surface's frame, and where it is."""

    laid: Laid
    row: int
    column: int
    rows: int
    columns: int
    box: tuple[float, float, float, float]

    @property
    def place(self) -> Affine:
        """The surface's frame to the sheet, at full size."""
        x0, _, _, y1 = self.box
        return place_on_page(_SIDE_MM - x0, _FOOT_MM + y1, 1.0)


def template_drawing(scheme: Scheme, order: Order, layouts: Sequence[Layout]) -> Drawing:
    """Sheets to print at full size, cut out and lay on the kit.

    Args:
        scheme: the season.
        order: the player's order.
        layouts: the season's; those of this order are shown.

    Returns:
        A4 pages at 1:1, each with a rule of 100 mm along and across to prove the print by. On a
        bat the sheets run from the nearer of grip and toe, so that the template can be felt home.

    Raises:
        ValueError: no layout belongs to the order, or none of its surfaces bears a decal.
    """
    own = layouts_of(order, layouts)
    tiles = [t for one in own for laid in decorated_surfaces(one) for t in _tiles(laid)]
    if not tiles:
        raise ValueError(f"no surface of order {order.key} bears a decal")
    proof = make_proof(scheme, order, layouts)
    foot = f"{order.key}  ·  {order.player}  ·  revision {proof.revision}  ·  {proof.short_hash}"
    pages = [_page(tile, foot, n, len(tiles)) for n, tile in enumerate(tiles, start=1)]
    return Drawing(f"Template: {order.key}, {order.player}", tuple(pages), (), scheme.date)


def _tiles(laid: Laid) -> Iterator[_Tile]:
    x0, y0, x1, y1 = laid.surface.outline.bounds
    columns = max(1, math.ceil((x1 - x0 - OVERLAP_MM) / (TILE_MM[0] - OVERLAP_MM)))
    rows = max(1, math.ceil((y1 - y0 - OVERLAP_MM) / (TILE_MM[1] - OVERLAP_MM)))
    windows = shapely.unary_union([_window(p.outline) for p in laid.placements])
    boxes = {
        (row, column): (left, top, left + TILE_MM[0], top + TILE_MM[1])
        for row in range(rows)
        for column in range(columns)
        for left, top in [
            (
                x0 + column * (TILE_MM[0] - OVERLAP_MM) - max(0.0, _spare(x1 - x0, columns)) / 2,
                y0 + row * (TILE_MM[1] - OVERLAP_MM),
            )
        ]
    }
    used = sorted({row for (row, _), box in boxes.items() if windows.intersects(shapely.box(*box))})
    from_top, from_foot = range(used[-1] + 1), range(used[0], rows)
    wanted = from_top if len(from_top) <= len(from_foot) else from_foot
    for (row, column), box in boxes.items():
        if row in wanted:
            yield _Tile(laid, row, column, rows, columns, box)


def _spare(width: float, columns: int) -> float:
    return TILE_MM[0] - width if columns == 1 else 0.0


@lru_cache(maxsize=1024)
def _window(outline: Path) -> BaseGeometry:
    return outline.polygon(_CHORD_MM)


def _page(tile: _Tile, foot: str, number: int, count: int) -> Page:
    laid = tile.laid
    title = f"{laid.surface.name}  ·  {item_title(laid.layout.item)}"
    part = "" if tile.rows * tile.columns == 1 else f", part {tile.row + 1} of {tile.rows} down"
    part += "" if tile.columns == 1 else f", {tile.column + 1} of {tile.columns} across"
    elements: list[Element] = [
        fit_line(title + part, MARGIN_MM, 284.0, 11.0, 180.0, "text-bold"),
        fit_line(
            "Print at 100 %. Check both 100 mm rules. Cut out on a cutting mat, never on the item.",
            MARGIN_MM,
            278.5,
            8.0,
            180.0,
            "text",
            SOFT,
        ),
        *_surface(tile),
        *_rules(),
        fit_line(foot, MARGIN_MM, 8.0, 6.5, 150.0, "text", SOFT),
        Label(f"{number} of {count}", PAGE_MM[0] - MARGIN_MM, 8.0, 6.5, SOFT, Anchor.END),
    ]
    layer = Layer("template", LayerKind.INFORMATION, tuple(elements))
    return Page(*PAGE_MM, (layer,), title)


def _surface(tile: _Tile) -> list[Element]:
    box, place = shapely.box(*tile.box), tile.place
    outline = tile.laid.surface.outline
    elements: list[Element] = []
    for index, placement in enumerate(tile.laid.placements, start=tile.laid.first):
        elements += _cut_out(
            _window(placement.outline), box, place, f"{index}  {placement.decal.name}"
        )
    elements += _lines(outline.boundary, box, place, _EDGE)
    x0, y0, x1, y1 = tile.box
    elements += _lines(
        LineString([(0.0, y0), (0.0, y1)]), outline.intersection(box), place, _CENTRE
    )
    elements += _ends(tile)
    for row, y in ((tile.row, y0), (tile.row + 1, y1)):
        if 0 < row < tile.rows:
            at = y + OVERLAP_MM / 2 if row == tile.row else y - OVERLAP_MM / 2
            elements += _lines(LineString([(x0, at), (x1, at)]), box, place, _JOIN)
            x, up = on_page(place, x1, at)
            words = f"join {row}: lay line on line"
            elements.append(Label(words, x, up + 0.8, 6.5, ALERT, Anchor.END))
    return elements


def _ends(tile: _Tile) -> list[Element]:
    """What to lay the first and last sheet against."""
    _, y0, _, y1 = tile.laid.surface.outline.bounds
    bat = tile.laid.layout.item.kind is ItemKind.BAT
    names = ("bottom of the grip", "toe") if bat else ("top seam", "foot seam")
    elements: list[Element] = []
    for name, row, y in ((names[0], 0, y0), (names[1], tile.rows - 1, y1)):
        if tile.row == row:
            x, up = on_page(tile.place, tile.box[0], y)
            words = f"{name}: lay this edge against it"
            elements.append(Label(words, max(x, MARGIN_MM), up + 1.0, 6.5, SOFT))
    return elements


@lru_cache(maxsize=1024)
def _cut_out(window: BaseGeometry, box: Polygon, place: Affine, name: str) -> tuple[Element, ...]:
    """Kept, as lines are: most orders of an item and size have the same windows."""
    seen = window.intersection(box)
    if seen.is_empty:
        return ()
    moved = affine_transform(seen, place.for_shapely)
    elements: list[Element] = [Drawn(Path.from_geometry(moved), _WINDOW)]
    elements += _lines(window.boundary, box, place, _CUT)
    x0, y0, x1, y1 = moved.bounds
    if min(x1 - x0, y1 - y0) >= _NAMED_MM:
        middle = moved.representative_point().y - 1.0
        width = x1 - x0 - 2.0
        elements.append(
            fit_line(name, (x0 + x1) / 2, middle, 7.0, width, "text-bold", INK, Anchor.MIDDLE)
        )
    return tuple(elements)


@lru_cache(maxsize=1024)
def _lines(
    lines: BaseGeometry, within: BaseGeometry, place: Affine, stroke: Stroke
) -> tuple[Element, ...]:
    cut = affine_transform(lines.intersection(within), place.for_shapely)
    merged = shapely.line_merge(cut) if cut.geom_type == "MultiLineString" else cut
    return tuple(
        Drawn(Path.polyline(list(part.coords), closed=False), None, stroke)
        for part in shapely.get_parts(merged)
        if isinstance(part, LineString) and part.length > 0.0
    )


def _rules() -> list[Element]:
    """One rule across and one along, each exactly 100 mm between its ticks."""
    x, y = MARGIN_MM, 16.0
    side, low = 6.0, 60.0
    tick = 2.0
    across = f"{CHECK_MM:.0f} mm across"
    return [
        rule_line(x, x + CHECK_MM, y, INK, 0.1),
        *(_bar(x + at, y - tick, x + at, y + tick) for at in (0.0, CHECK_MM)),
        Label(across, x + CHECK_MM / 2, y + 1.2, 6.5, SOFT, Anchor.MIDDLE),
        _bar(side, low, side, low + CHECK_MM),
        *(_bar(side - tick, low + at, side + tick, low + at) for at in (0.0, CHECK_MM)),
        Label(f"{CHECK_MM:.0f} mm along", side + 3.6, low + 40.0, 6.5, SOFT, Anchor.START, 90.0),
        rule_line(MARGIN_MM, PAGE_MM[0] - MARGIN_MM, 12.0, FAINT),
    ]


def _bar(x0: float, y0: float, x1: float, y1: float) -> Drawn:
    return Drawn(Path.polyline([(x0, y0), (x1, y1)], closed=False), None, Stroke(INK, 0.1))
