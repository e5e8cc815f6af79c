"""Frames, paints and line weights shared by every drawing of kit.

Drawings are in page mm, y up; surfaces and items are in mm, y down. ``place_on_page`` is the only
place where y turns over.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from shapely.geometry.base import BaseGeometry

from livery.drawing import Anchor, LabColour, Label, LabPaint, Shape, Stroke
from livery.geometry import Affine, Path

NO_FILLS: Mapping[str, LabColour] = MappingProxyType({})

MATERIALS: Mapping[str, LabColour] = MappingProxyType(
    {
        "willow": (84.0, 4.0, 21.0),
        "grain": (76.0, 6.0, 24.0),
        "ridge": (89.0, 2.0, 16.0),
        "cane": (74.0, 8.0, 33.0),
        "grip": (31.0, -3.0, -8.0),
        "grip-rib": (42.0, -3.0, -9.0),
        "plain": (92.0, 0.0, 3.0),
    }
)
"""What things look like where no ink covers them; a drawing's fills may replace any of them.

[source: workshop-choice]
"""


_PENCIL = LabPaint((25.0, 0.0, 0.0))
_RED = LabPaint((48.0, 55.0, 35.0))
_BLUE = LabPaint((45.0, 0.0, -30.0))
_PALE, _PALE_RED = LabPaint((97.0, 0.0, 0.0)), LabPaint((91.0, 10.0, 8.0))
_PALE_BLUE = LabPaint((93.0, -2.0, -8.0))
_DARK = 70.0  # lightness at and below which dark lines are lost [source: workshop-choice]


@dataclass(frozen=True, slots=True)
class DrawingStyle:
    """Line weights and lettering, on the page.

    Attributes:
        line_mm, fine_mm: outlines; zones, datums and dimension lines.
        text_pt: lettering of datums and dimensions.
        hatch_mm: between the lines that fill a barred zone.
        pencil, barred, advice: colours of lines, of barred zones and of zones that only advise.
    """

    line_mm: float = 0.25
    fine_mm: float = 0.12
    text_pt: float = 6.0
    hatch_mm: float = 2.5
    pencil: LabPaint = _PENCIL
    barred: LabPaint = _RED
    advice: LabPaint = _BLUE


STYLE = DrawingStyle()
"""[source: workshop-choice]"""


def style_upon(fill: LabPaint, style: DrawingStyle = STYLE) -> DrawingStyle:
    """The same style, with light lines where the fill is too dark for its own."""
    if fill.lab[0] > _DARK:
        return style
    return replace(style, pencil=_PALE, barred=_PALE_RED, advice=_PALE_BLUE)


def place_on_page(x_mm: float, y_mm: float, scale: float = 1.0) -> Affine:
    """The map that puts a frame's origin at (x_mm, y_mm) on the page and turns y up.

    Args:
        x_mm: where the frame's origin stands on the page.
        y_mm: the same, from the page's bottom.
        scale: drawn size over true size; 1 is true scale.
    """
    return Affine(scale, 0.0, 0.0, -scale, x_mm, y_mm)


def drawn_scale(place: Affine) -> float:
    """Drawn size over true size, of a map that turns, flips and scales evenly."""
    return math.sqrt(abs(place.determinant))


def paint_of(name: str, fills: Mapping[str, LabColour]) -> LabPaint:
    """The paint of an ink or material; what is not known is drawn plain."""
    colour = fills.get(name) or MATERIALS.get(name) or fills.get("plain") or MATERIALS["plain"]
    return LabPaint(colour)


def draw_area(
    area: BaseGeometry,
    place: Affine,
    fill: LabPaint | None,
    stroke: Stroke | None = None,
    name: str = "",
) -> Shape:
    """A polygon (or lines) of a frame, on the page."""
    return Shape(Path.from_geometry(area).transformed(place), fill, stroke, name=name)


def draw_line(
    points: list[tuple[float, float]], stroke: Stroke, place: Affine | None = None, name: str = ""
) -> Shape:
    """A line through points of a frame, or of the page where no frame is given."""
    path = Path.polyline(points, closed=False)
    return Shape(path if place is None else path.transformed(place), None, stroke, name=name)


def draw_text(
    text: str,
    point: tuple[float, float],
    style: DrawingStyle,
    anchor: Anchor = Anchor.START,
    rotation_deg: float = 0.0,
) -> Label:
    """A line of lettering at a point of the page."""
    return Label(text, point[0], point[1], style.text_pt, style.pencil, anchor, rotation_deg)


def on_page(place: Affine, x: float, y: float) -> tuple[float, float]:
    """A point of a frame, on the page."""
    found = place.apply(np.array([x, y], dtype=np.float64))
    return float(found[0]), float(found[1])
