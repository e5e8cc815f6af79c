"""Dimension lines as on any workshop drawing: witness lines, arrows and the true length."""

from __future__ import annotations

import math

from livery.drawing import Anchor, Element, Shape, Stroke
from livery.geometry import Affine, Path
from livery.kit.drawing_style import STYLE, DrawingStyle, draw_line, draw_text, on_page
from livery.units import pt_to_mm

_ARROW_MM = (1.8, 0.5)  # length and half-width [source: workshop-choice]
_GAP_MM = 1.0  # between what is measured and its witness line [source: workshop-choice]
_OVER_MM = 1.0  # how far a witness line passes the dimension line [source: workshop-choice]

Point = tuple[float, float]


def draw_dimension(
    place: Affine,
    start: Point,
    end: Point,
    offset_mm: float,
    text: str = "",
    style: DrawingStyle = STYLE,
) -> tuple[Element, ...]:
    """The distance between two points of a frame, drawn beside them.

    Args:
        place: the frame's map to the page.
        start: first point, in the frame.
        end: second point, in the frame.
        offset_mm: on the page, how far the line stands off: positive to the left of the way from
            start to end as seen on the page.
        text: "" writes the true distance in mm.
        style: line weights and lettering.

    Returns:
        Nothing where the two points coincide.
    """
    length = math.dist(start, end)
    a, b = on_page(place, *start), on_page(place, *end)
    drawn = math.dist(a, b)
    if drawn <= 0.0:
        return ()
    ux, uy = (b[0] - a[0]) / drawn, (b[1] - a[1]) / drawn
    nx, ny = -uy, ux
    stroke = Stroke(style.pencil, style.fine_mm)
    side = math.copysign(1.0, offset_mm)
    near, far = side * _GAP_MM, offset_mm + side * _OVER_MM
    witness = [
        draw_line([(x + nx * near, y + ny * near), (x + nx * far, y + ny * far)], stroke)
        for x, y in (a, b)
    ]
    p = (a[0] + nx * offset_mm, a[1] + ny * offset_mm)
    q = (b[0] + nx * offset_mm, b[1] + ny * offset_mm)
    words = text or f"{length:.1f}".removesuffix(".0") + " mm"
    return (
        *witness,
        draw_line([p, q], stroke),
        *_arrows(p, q, (ux, uy), style),
        _lettering(words, p, q, style),
    )


def _arrows(p: Point, q: Point, along: Point, style: DrawingStyle) -> tuple[Shape, ...]:
    """Heads at both ends, outside the line where it is too short to hold them."""
    length, half = _ARROW_MM
    inward = 1.0 if math.dist(p, q) >= 2.5 * length else -1.0
    shapes = []
    for (x, y), sign in ((p, inward), (q, -inward)):
        dx, dy = along[0] * sign, along[1] * sign
        back = (x + dx * length, y + dy * length)
        corners = [
            (x, y),
            (back[0] - dy * half, back[1] + dx * half),
            (back[0] + dy * half, back[1] - dx * half),
        ]
        shapes.append(Shape(Path.polyline(corners), style.pencil))
    return tuple(shapes)


def _lettering(words: str, p: Point, q: Point, style: DrawingStyle) -> Element:
    """Text along the line, a little above it, never upside down."""
    angle = math.degrees(math.atan2(q[1] - p[1], q[0] - p[0]))
    if not -89.9 < angle <= 90.1:
        angle += 180.0 if angle < 0 else -180.0
    lift = 0.25 * pt_to_mm(style.text_pt)
    up = (-math.sin(math.radians(angle)) * lift, math.cos(math.radians(angle)) * lift)
    middle = ((p[0] + q[0]) / 2 + up[0], (p[1] + q[1]) / 2 + up[1])
    return draw_text(words, middle, style, Anchor.MIDDLE, angle)
