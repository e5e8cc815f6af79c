"""The page a target is printed from. Nothing here decides where a patch stands."""

from __future__ import annotations

import shapely

from livery.capture.marker_dictionary import marker_modules
from livery.capture.model import Marker, Patch, Target
from livery.capture.target_layout import PITCH_MM, Form, TargetKind
from livery.drawing import (
    BLACK,
    Anchor,
    Drawing,
    Element,
    Label,
    LabPaint,
    Layer,
    LayerKind,
    Page,
    Shape,
    Stroke,
)
from livery.geometry import Affine, Path

# Every size: [source: workshop-choice]
_RULE_MM = 100.0
_TICK_MM, _LONG_TICK_MM = 1.8, 3.0  # the rule's, and those at its ends and middle
_LEFT_MM, _RULE_DOWN_MM, _LINES_DOWN_MM = 10.0, 5.0, 8.5  # in the strip, from its top-left corner
_LINE_MM, _STRIP_PT = 2.6, 5.5  # from line to line, and their type
_REFERENCE_PT = 5.0  # of column letters and row numbers
_WINDOW_PT, _WINDOW_LINE_MM = 6.0, 3.0  # of the words in a window
_THIN_MM, _DASH_MM = 0.15, (2.0, 1.0)
_TRIM_INSIDE_MM = 0.1  # of the page's edge, so that the whole line prints
_NOMINAL = (
    "Nominal until measured: the values in target.toml are what was asked of the printer.",
    "Measure the patches by reference (column letter, row number) and enter the values;",
    "until then colours can be compared within a photograph, not judged against an aim.",
)
_USE = {
    TargetKind.CARD: "Cut out the window; lay flat on the decal, glove or pad.",
    TargetKind.CHART: "Lay flat beside the work, in the same light and the same plane.",
    TargetKind.RAILS: "Cut out the middle; keep the crosspiece. Lay level with the blade's face.",
}


def draw_target(target: Target, form: Form) -> Drawing:
    """One page at full size: patches, markers as vector squares, rule, id and wording.

    Args:
        target: what is printed.
        form: that it was made on.
    """
    elements: list[Element] = [_patch(patch, target.height_mm) for patch in target.patches]
    elements += [_marker(marker, target.height_mm) for marker in target.markers]
    information = [*_strip(target, form), *_references(target, form), *_outline(form)]
    page = Page(
        target.width_mm,
        target.height_mm,
        (
            Layer("target", LayerKind.INK, tuple(elements)),
            Layer("notes", LayerKind.INFORMATION, tuple(information)),
        ),
        title=target.key,
    )
    return Drawing(title=f"Photograph target {target.key}", pages=(page,))


def _patch(patch: Patch, height: float) -> Shape:
    path = Path.rectangle(
        patch.x_mm, height - patch.y_mm - patch.h_mm, patch.x_mm + patch.w_mm, height - patch.y_mm
    )
    return Shape(path, fill=LabPaint(patch.lab), name=patch.name)


def _marker(marker: Marker, height: float) -> Shape:
    modules = marker_modules(marker.dictionary, marker.id)
    count = len(modules)
    squares = [
        shapely.box(column, count - 1 - row, column + 1, count - row)
        for row in range(count)
        for column in range(count)
        if modules[row, column]
    ]
    size = marker.size_mm / count
    left, bottom = marker.x_mm - marker.size_mm / 2, height - marker.y_mm - marker.size_mm / 2
    place = Affine(size, 0.0, 0.0, size, left, bottom)
    path = Path.from_geometry(shapely.unary_union(squares)).transformed(place)
    return Shape(path, fill=BLACK, name=f"marker {marker.id}")


def _strip(target: Target, form: Form) -> list[Element]:
    """The rule, the target's key and the wording, below the cells."""
    top = target.height_mm - form.strip_y_mm
    y = top - _RULE_DOWN_MM
    lines = [target.key, *_NOMINAL, _USE[form.kind]]
    labels: list[Element] = [
        Label(text, _LEFT_MM, top - _LINES_DOWN_MM - _LINE_MM * i, _STRIP_PT)
        for i, text in enumerate(lines)
    ]
    beside = _LEFT_MM + _RULE_MM + 2.0
    note = Label(f"{_RULE_MM:g} mm: check before use", beside, y, _STRIP_PT)
    return [*_rule(_LEFT_MM, y), note, *labels]


def _rule(x: float, y: float) -> list[Element]:
    """A rule to check the print's size by, a tick each 10 mm."""
    line = Stroke(BLACK, _THIN_MM)
    ends = [((x, y), (x + _RULE_MM, y))]
    for tick in range(11):
        height, at = (_TICK_MM if tick % 5 else _LONG_TICK_MM), x + tick * _RULE_MM / 10
        ends.append(((at, y), (at, y + height)))
    return [Shape(Path.polyline(pair, closed=False), stroke=line) for pair in ends]


def _references(target: Target, form: Form) -> list[Element]:
    """Column letters above the grid and row numbers to its left."""
    cells = (*form.marker_cells, *form.patch_cells)
    top, left = min(cell.y_mm for cell in cells), min(cell.x_mm for cell in cells)
    columns = {cell.reference[0]: cell.x_mm for cell in cells}
    rows = {cell.reference[1:]: cell.y_mm for cell in cells}
    middle, high = PITCH_MM / 2, target.height_mm
    across = [
        Label(letter, x + middle, high - top + 0.3, _REFERENCE_PT, anchor=Anchor.MIDDLE)
        for letter, x in columns.items()
    ]
    down = [
        Label(number, left + 0.4, high - y - middle - 0.6, _REFERENCE_PT, anchor=Anchor.END)
        for number, y in rows.items()
    ]
    return [*across, *down]


def _outline(form: Form) -> list[Element]:
    """The edge to trim to, and the window to cut out, if there is one, with a word in it."""
    dashed, inset = Stroke(BLACK, _THIN_MM, dash_mm=_DASH_MM), _TRIM_INSIDE_MM
    edge = Path.rectangle(inset, inset, form.width_mm - inset, form.height_mm - inset)
    elements: list[Element] = [Shape(edge, stroke=dashed, name="trim")]
    if form.window_mm is None:
        return elements
    x0, y0, x1, y1 = form.window_mm
    top, bottom = form.height_mm - y0, form.height_mm - y1
    elements.append(Shape(Path.rectangle(x0, bottom, x1, top), stroke=dashed, name="window"))
    x, y = (x0 + x1) / 2, (top + bottom) / 2
    for i, text in enumerate(("cut out", "blades: follow the workshop's own rules")):
        at = y - _WINDOW_LINE_MM * i
        elements.append(Label(text, x, at, _WINDOW_PT, anchor=Anchor.MIDDLE))
    return elements
