"""Changes drawn: each changed surface before and after, to one scale, what changed ringed."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from livery.artwork.typesetting import fit_line, spread
from livery.drawing import Anchor, Element, Label, LabPaint, Shape, Stroke
from livery.geometry import Affine, Path
from livery.kit.drawing_style import on_page, place_on_page
from livery.proof.difference import ChangedSurface, Difference
from livery.proof.likeness import Likeness, Piece
from livery.proof.pictures import FINE, choose_scale, scale_words
from livery.proof.setting import ALERT, FAINT, INK, MARGIN_MM, PAGE_MM, SOFT, rule_line

_TOP, _BOTTOM = 268.0, 18.0  # of the space for pictures (workshop choice)
_GUTTER, _BESIDE = 10.0, 9.0  # between cells; right of a picture, for numbers (workshop choice)
_CLEAR_MM = 1.2  # from a decal's box to its ring (workshop choice)
_MOST_WORDS = 7  # differences told beneath a pair of pictures (workshop choice)
_LINE_MM, _NUMBER_MM = 4.3, 4.4
_RING, _GHOST = Stroke(ALERT, 0.45), Stroke(ALERT, 0.3, (1.4, 1.0))

Cell = tuple[float, float, float, float]


def draw_changes(
    surfaces: Sequence[ChangedSurface], revisions: tuple[str, str], accent: LabPaint
) -> list[list[Element]]:
    """Pages of pictures, up to four changed surfaces on each.

    Args:
        surfaces: what looks different.
        revisions: names of the two revisions, earlier first.
        accent: colour of the heading.
    """
    pages = []
    for start in range(0, len(surfaces), 4):
        group = surfaces[start : start + 4]
        page: list[Element] = [
            fit_line("Changes drawn", MARGIN_MM, 274.0, 13.0, 60.0, "display", accent),
            fit_line(
                f"{revisions[0]} beside {revisions[1]}; what differs is ringed, dashed where it "
                "is not there",
                PAGE_MM[0] - MARGIN_MM,
                274.0,
                8.0,
                115.0,
                "text",
                SOFT,
                Anchor.END,
            ),
        ]
        for surface, cell in zip(group, _cells(len(group)), strict=True):
            page += _draw_pair(surface, revisions, cell)
        pages.append(page)
    return pages


def _cells(count: int) -> list[Cell]:
    columns, rows = min(count, 2), 1 if count <= 2 else 2
    wide = (PAGE_MM[0] - 2 * MARGIN_MM - _GUTTER * (columns - 1)) / columns
    tall = (_TOP - _BOTTOM - _GUTTER * (rows - 1)) / rows
    cells = []
    for number in range(count):
        x = MARGIN_MM + (number % columns) * (wide + _GUTTER)
        y = _TOP - (number // columns) * (tall + _GUTTER)
        cells.append((x, y - tall, x + wide, y))
    return cells


def _draw_pair(surface: ChangedSurface, revisions: tuple[str, str], cell: Cell) -> list[Element]:
    x0, y0, x1, y1 = cell
    told = min(len(surface.differences), _MOST_WORDS + 1)
    lowest, top = y0 + told * _LINE_MM + 8.0, y1 - 8.0
    half = (x1 - x0) / 2
    sides = [one for one in (surface.before, surface.after) if one is not None]
    sizes = [(one.bounds[2] - one.bounds[0], one.bounds[3] - one.bounds[1]) for one in sides]
    wide, tall = max(size[0] for size in sizes), max(size[1] for size in sizes)
    scale = choose_scale(wide, tall, (half - _BESIDE - 4.0, top - lowest))
    foot = top - tall / scale
    elements: list[Element] = [
        fit_line(surface.title, x0, y1 - 3.0, 8.5, x1 - x0 - 16.0, "text-bold", INK),
        Label(scale_words(scale), x1, y1 - 3.0, 7.5, SOFT, Anchor.END),
        rule_line(x0, x1, y1 - 4.4, FAINT),
    ]
    for number, likeness in enumerate((surface.before, surface.after)):
        middle = x0 + half * number + (half - _BESIDE) / 2
        words = revisions[number] if likeness is not None else f"{revisions[number]}: not there"
        elements.append(
            fit_line(words, middle, foot - 4.0, 7.0, half - 2.0, "text", SOFT, Anchor.MIDDLE)
        )
        if likeness is not None:
            box = likeness.bounds
            place = place_on_page(
                middle - (box[0] + box[2]) / 2 / scale,
                foot + box[3] / scale,
                1.0 / scale,
            )
            elements += _draw_likeness(likeness, place)
            elements += _rings(surface.differences, number, place, box)
    return [*elements, *_tell(surface.differences, x0, foot - 8.0, x1 - x0)]


def _draw_likeness(likeness: Likeness, place: Affine) -> list[Element]:
    elements: list[Element] = []
    for piece in likeness.pieces:
        for lab, path in piece.regions:
            edge = Stroke(FINE.pencil, FINE.line_mm, round=True) if piece.is_ground else None
            elements.append(Shape(path.transformed(place), LabPaint(lab), edge))
    return elements


def _rings(
    differences: Sequence[Difference], side: int, place: Affine, bounds: Cell
) -> list[Element]:
    """Rings round what differs on one side, each led to its number at the right."""
    elements: list[Element] = []
    levels: list[tuple[float, float, int]] = []
    for number, one in enumerate(differences, start=1):
        there = (one.before, one.after)[side]
        piece = there or one.before or one.after
        if piece is None:
            continue
        ring = _ring(piece, place)
        elements.append(Shape(ring, None, _RING if there is not None else _GHOST))
        _, y0, x1, y1 = ring.bounds()
        if number <= _MOST_WORDS:
            levels.append(((y0 + y1) / 2, x1, number))
    levels.sort(key=lambda level: (-level[0], level[2]))
    edge = on_page(place, bounds[2], 0.0)[0]
    for (level, start, number), at in zip(
        levels, spread([level[0] for level in levels], _NUMBER_MM), strict=True
    ):
        x = max(edge, start) + 4.6
        line = Path.polyline([(start, level), (x - 1.9, at)], closed=False)
        elements.append(Shape(line, None, Stroke(ALERT, 0.2)))
        elements += _number(number, x, at)
    return elements


def _ring(piece: Piece, place: Affine) -> Path:
    if piece.is_ground:
        return piece.outline.transformed(place)
    box = shapely.box(*piece.outline.transformed(place).bounds())
    return Path.from_geometry(box.buffer(_CLEAR_MM))


def _number(number: int, x: float, y: float) -> tuple[Element, ...]:
    white = LabPaint((97.0, 0.0, 2.0))
    return (
        Shape(Path.circle(x, y, 1.9), ALERT),
        Label(str(number), x, y - 0.85, 6.5, white, Anchor.MIDDLE, 0.0, "text-bold"),
    )


def _tell(differences: Sequence[Difference], x: float, top: float, width: float) -> list[Element]:
    elements: list[Element] = []
    for number, one in enumerate(differences[:_MOST_WORDS], start=1):
        y = top - (number - 1) * _LINE_MM
        elements += _number(number, x + 1.9, y)
        elements.append(
            fit_line(f"{one.name}: {one.words}", x + 5.5, y - 0.9, 7.0, width - 5.5, "text", INK)
        )
    if len(differences) > _MOST_WORDS:
        more = f"and {len(differences) - _MOST_WORDS} more, ringed above"
        y = top - _MOST_WORDS * _LINE_MM
        elements.append(fit_line(more, x + 5.5, y - 0.9, 7.0, width - 5.5, "text", SOFT))
    return elements
