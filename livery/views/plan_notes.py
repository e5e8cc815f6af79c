"""What stands beside a plan's surfaces: the whole item, areas, its own dimensions, a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from livery.artwork.typesetting import leading_mm, wrap_text
from livery.drawing import Element, LabColour, Label, LabPaint, Shape, Stroke
from livery.geometry import Affine, Path
from livery.kit import (
    draw_item,
    draw_surface,
    draw_zone_names,
    draw_zones,
    item_bounds,
    place_on_page,
    surface_fill,
    surface_place,
)
from livery.kit.drawing_style import STYLE, DrawingStyle, draw_area
from livery.kit.model import Surface
from livery.kit.surface_drawing import hatch_area
from livery.limits import RuleBook
from livery.placement import Layout, draw_placed
from livery.scheme.model import ItemKind
from livery.views.facts import broken_words, shape_words
from livery.views.frame import ADVICE, INK, LIMIT, SOFT

Box = tuple[float, float, float, float]

_SIZE_PT = 6.5
_PICTURE_MM = 62.0  # highest a whole glove or pad is drawn [source: workshop-choice]
_KEY_MM = 22.0  # height of the key to the lines [source: workshop-choice]
_ABOVE_MM = 6.0  # for the name above a surface [source: workshop-choice]
_SMALL = DrawingStyle(line_mm=0.15, fine_mm=0.08)


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """What a plan's notes tell of.

    Attributes:
        reduction: true size over drawn size, of the plan's surfaces.
    """

    layout: Layout
    books: tuple[RuleBook, ...]
    fills: Mapping[str, LabColour]
    reduction: float


@dataclass(frozen=True, slots=True)
class _Line:
    words: str
    paint: LabPaint = INK
    font: str = "text"


def draw_notes(sheet: Sheet, box: Box) -> list[Element]:
    """Fill a column with notes from its top; what does not fit is counted, never dropped unsaid.

    Args:
        sheet: what they tell of.
        box: (x0, y0, x1, y1) on the page, mm.
    """
    x0, low, x1, top = box
    elements, y = _picture(sheet, x0, top, x1 - x0)
    lines = [*_area_lines(sheet), *_shape_lines(sheet)]
    lines += _broken_lines(sheet)
    set_lines = [
        _Line(words, line.paint, line.font)
        for line in lines
        for words in wrap_text(line.words, _SIZE_PT, x1 - x0, line.font)
    ]
    room = int((y - low - _KEY_MM) / leading_mm(_SIZE_PT))
    if len(set_lines) > room:
        more = len(set_lines) - room + 1
        set_lines = [*set_lines[: room - 1], _Line(f"and {more} more lines: livery check", LIMIT)]
    for line in set_lines:
        y -= leading_mm(_SIZE_PT)
        elements.append(Label(line.words, x0, y, _SIZE_PT, line.paint, font=line.font))
    elements += _key(x0, y - 7.0)
    return elements


def _picture(sheet: Sheet, x: float, top: float, width: float) -> tuple[list[Element], float]:
    """The toe of a bat, or the whole glove or pad with its decals; and where it ends."""
    item = sheet.layout.item
    if item.kind is ItemKind.BAT:
        toes = [surface for surface in item.surfaces if surface.key == "toe"]
        return _toe(sheet, toes[0], x, top) if toes else ([], top)
    x0, y0, x1, y1 = item_bounds(item)
    reduction = max((x1 - x0) / width, (y1 - y0) / _PICTURE_MM)
    place = place_on_page(x - x0 / reduction, top + y0 / reduction, 1.0 / reduction)
    drawn = list(draw_item(item, place, fills=sheet.fills, style=_SMALL))
    for surface in item.surfaces:
        lies = surface_place(item, surface.key, place)
        if lies is not None:
            drawn += draw_placed(sheet.layout, surface.key, lies)
    return drawn, top - (y1 - y0) / reduction - 4.0


def _toe(sheet: Sheet, toe: Surface, x: float, top: float) -> tuple[list[Element], float]:
    x0, y0, x1, y1 = toe.outline.bounds
    scale = 1.0 / sheet.reduction
    place = place_on_page(x - x0 * scale, top - _ABOVE_MM + y0 * scale, scale)
    words = f"Toe, {x1 - x0:.1f} × {y1 - y0:.1f} mm, face uppermost"
    fill = surface_fill(sheet.layout.item, toe.key, sheet.fills)
    drawn: list[Element] = [Label(words, x, top - _ABOVE_MM + 2.6, _SIZE_PT, INK, font="text-bold")]
    drawn += [*draw_surface(toe, place, fill, STYLE), *draw_zones(toe, place, STYLE)]
    drawn += draw_zone_names(toe, place, fill, STYLE)
    return drawn, top - _ABOVE_MM - (y1 - y0) * scale - 4.0


def _area_lines(sheet: Sheet) -> Iterator[_Line]:
    yield _Line("Area and cover", font="text-bold")
    shares = {f.subject.rpartition(", ")[2]: f for f in sheet.layout.findings if f.unit == "%"}
    for surface in sheet.layout.item.surfaces:
        words = f"{surface.name}: {surface.area_mm2 / 100:.1f} cm²"
        finding = shares.get(surface.key)
        if finding is not None:
            words += f"; decals cover {finding.measured:.1f} %, limit {finding.limit:g} %"
        yield _Line(words, INK if finding is None or finding.ok else LIMIT)


def _shape_lines(sheet: Sheet) -> Iterator[_Line]:
    shapes = shape_words(sheet.layout, sheet.books)
    if shapes:
        yield _Line(" ")
        yield _Line("The bat's own dimensions", font="text-bold")
    for title, words, ok in shapes:
        yield _Line(f"{title}: {words}{'' if ok else '. BROKEN'}", INK if ok else LIMIT)


def _broken_lines(sheet: Sheet) -> Iterator[_Line]:
    broken: Sequence[str] = broken_words(sheet.layout)
    yield _Line(" ")
    count = f"Limits broken: {len(broken)}" if broken else "No limit is broken"
    yield _Line(count, LIMIT if broken else INK, "text-bold")
    for words in broken:
        yield _Line(words, LIMIT)


def _key(x: float, y: float) -> Iterator[Element]:
    """What each line means."""
    rows = (
        ("limit: decals may not pass", Stroke(LIMIT, 0.22, (1.6, 0.7))),
        ("advice, and zones to know of", Stroke(ADVICE, 0.22, (1.6, 0.7))),
        ("datum", Stroke(SOFT, 0.1, (2.4, 0.8, 0.6, 0.8))),
        ("cut line of a decal that breaks a limit", Stroke(LIMIT, 0.5)),
    )
    for words, stroke in rows:
        line = Path.polyline([(x, y + 0.8), (x + 9.0, y + 0.8)], closed=False)
        yield Shape(line, None, stroke)
        yield Label(words, x + 11.0, y, _SIZE_PT, INK)
        y -= 3.6
    box = Path.rectangle(x, y - 0.3, x + 9.0, y + 1.9)
    red = Stroke(STYLE.barred, 0.1)
    yield Shape(box, None, red)
    yield draw_area(hatch_area(box.polygon(), 1.0), Affine(), None, red)
    yield Label("barred zone", x + 11.0, y, _SIZE_PT, INK)
