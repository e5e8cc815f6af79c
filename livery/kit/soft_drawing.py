"""Whole gloves and pads, part by part, in their inks."""

from __future__ import annotations

from collections.abc import Mapping

from shapely.geometry import MultiPolygon, Polygon

from livery.drawing import Element, LabColour, LabPaint, Shape, Stroke
from livery.geometry import Affine
from livery.kit.drawing_style import NO_FILLS, STYLE, DrawingStyle, draw_area, paint_of
from livery.kit.model import KitItem, PanelShape

_STITCH_MM = 3.0  # from a panel's edge [source: workshop-choice]


def draw_soft_kit(
    item: KitItem,
    place: Affine,
    fills: Mapping[str, LabColour] = NO_FILLS,
    style: DrawingStyle = STYLE,
) -> tuple[Element, ...]:
    """A glove from the back of the hand, or a pad from the front.

    Args:
        item: a glove or a pad.
        place: the item's frame to the page (``place_on_page``).
        fills: ink key to colour; ``plain`` is for parts without an ink.
        style: line weights.

    Returns:
        Parts from the lowest to the topmost; those that bear decals show their stitching.
    """
    return tuple(
        element for panel in item.panels for element in _draw_part(panel, place, fills, style)
    )


def soft_bounds(item: KitItem) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) of a glove or pad in its item frame, mm.

    Raises:
        ValueError: the item has no parts.
    """
    if not item.panels:
        raise ValueError(f"{item.key} is neither glove nor pad")
    boxes = [panel.outline.bounds() for panel in item.panels]
    return (
        min(found[0] for found in boxes),
        min(found[1] for found in boxes),
        max(found[2] for found in boxes),
        max(found[3] for found in boxes),
    )


def _draw_part(
    panel: PanelShape, place: Affine, fills: Mapping[str, LabColour], style: DrawingStyle
) -> list[Element]:
    paint = paint_of(panel.ink or "plain", fills)
    line = Stroke(style.pencil, style.line_mm, round=True)
    shapes: list[Element] = [Shape(panel.outline.transformed(place), paint, line, name=panel.name)]
    if panel.surface:
        inside = panel.outline.polygon().buffer(-_STITCH_MM)
        if isinstance(inside, Polygon | MultiPolygon) and not inside.is_empty:
            stitch = Stroke(_thread(paint), style.fine_mm * 1.5, (1.6, 1.0))
            shapes.append(draw_area(inside, place, None, stitch, f"{panel.name} stitching"))
    return shapes


def _thread(paint: LabPaint) -> LabPaint:
    """A thread that shows on its panel: lighter on dark, darker on light."""
    lightness, a, b = paint.lab
    return LabPaint((lightness - 18.0 if lightness > 60.0 else lightness + 25.0, a, b))
