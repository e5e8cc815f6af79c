"""Any item of kit as one picture, and where its surfaces lie in it."""

from __future__ import annotations

from collections.abc import Mapping

from livery.drawing import Element, LabColour
from livery.geometry import Affine
from livery.kit.bat_drawing import BatView, bat_bounds, draw_bat
from livery.kit.drawing_style import NO_FILLS, STYLE, DrawingStyle
from livery.kit.model import KitItem
from livery.kit.soft_drawing import draw_soft_kit, soft_bounds
from livery.scheme.model import ItemKind


def draw_item(
    item: KitItem,
    place: Affine,
    view: BatView = BatView.FACE,
    fills: Mapping[str, LabColour] = NO_FILLS,
    style: DrawingStyle = STYLE,
) -> tuple[Element, ...]:
    """A bat, a glove or a pad, whole and bare.

    Args:
        item: what to draw.
        place: the picture's frame to the page (``place_on_page``).
        view: from where a bat is seen; gloves and pads are seen from the front.
        fills: ink key (or material) to colour.
        style: line weights.
    """
    if item.kind is ItemKind.BAT:
        return draw_bat(item, view, place, fills, style)
    return draw_soft_kit(item, place, fills, style)


def item_bounds(item: KitItem, view: BatView = BatView.FACE) -> tuple[float, float, float, float]:
    """(x0, y0, x1, y1) of the picture in its own frame, mm, y down."""
    return bat_bounds(item, view) if item.kind is ItemKind.BAT else soft_bounds(item)


def surface_place(item: KitItem, key: str, place: Affine) -> Affine | None:
    """Where a surface lies in the picture of its item: surface frame to page.

    Args:
        item: what the picture shows.
        key: of the surface.
        place: the picture's frame to the page.

    Returns:
        The map by which artwork on the surface falls in place. A bat's picture has the frame of
        the surface that it shows. None where the item has no such surface.
    """
    if item.kind is ItemKind.BAT:
        return place if any(surface.key == key for surface in item.surfaces) else None
    for panel in item.panels:
        if panel.surface == key and panel.affine is not None:
            return place @ panel.affine
    return None
