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

RULE_MM = 100.0
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
    """One page at full size: patches, markers as vector squares, rule, id and wording."""
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
    top = target.height_mm - form.strip_y_mm
    left = 10.0
    rule = _rule(left, top - 5.0)
    lines = [f"{target.key}", *_NOMINAL, _USE[form.kind]]
    labels: list[Element] = [
        Label(text, left, top - 8.5 - 2.6 * i, 5.5) for i, text in enumerate(lines)
    ]
    note = Label("100 mm: check before use", left + RULE_MM + 2.0, top - 5.0, 5.5)
    return [*rule, note, *labels]


def _rule(x: float, y: float) -> list[Element]:
    """A 100 mm rule, a tick each 10 mm, longer at its ends and middle."""
    line = Stroke(BLACK, 0.15)
    elements: list[Element] = []
    elements.append(Shape(Path.polyline([(x, y), (x + RULE_MM, y)], closed=False), stroke=line))
    for tick in range(11):
        height = 3.0 if tick % 5 == 0 else 1.8
        at = x + tick * RULE_MM / 10
        elements.append(
            Shape(Path.polyline([(at, y), (at, y + height)], closed=False), stroke=line)
        )
    return elements


def _references(target: Target, form: Form) -> list[Element]:
    """Column letters above the grid and row numbers to its left."""
    cells = (*form.marker_cells, *form.patch_cells)
    top, left = min(cell.y_mm for cell in cells), min(cell.x_mm for cell in cells)
    columns = {cell.reference[0]: cell.x_mm for cell in cells}
    rows = {cell.reference[1:]: cell.y_mm for cell in cells}
    middle, high = PITCH_MM / 2, target.height_mm
    across = [
        Label(letter, x + middle, high - top + 0.3, 5.0, anchor=Anchor.MIDDLE)
        for letter, x in columns.items()
    ]
    down = [
        Label(number, left + 0.4, high - y - middle - 0.6, 5.0, anchor=Anchor.END)
        for number, y in rows.items()
    ]
    return [*across, *down]


def _outline(form: Form) -> list[Element]:
    dashed = Stroke(BLACK, 0.15, dash_mm=(2.0, 1.0))
    edge = Path.rectangle(0.1, 0.1, form.width_mm - 0.1, form.height_mm - 0.1)
    elements: list[Element] = [Shape(edge, stroke=dashed, name="trim")]
    if form.window_mm is None:
        return elements
    x0, y0, x1, y1 = form.window_mm
    top, bottom = form.height_mm - y0, form.height_mm - y1
    elements.append(Shape(Path.rectangle(x0, bottom, x1, top), stroke=dashed, name="window"))
    middle = ((x0 + x1) / 2, (top + bottom) / 2)
    for i, text in enumerate(("cut out", "blades: follow the workshop's own rules")):
        elements.append(Label(text, middle[0], middle[1] - 3.0 * i, 6.0, anchor=Anchor.MIDDLE))
    return elements
