"""Kit drawn with its decals on: whole items to one scale, and surfaces laid flat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from livery.drawing import Anchor, Element, LabColour, Label
from livery.geometry import Affine
from livery.kit.bat_drawing import BatView, bat_bounds, draw_bat
from livery.kit.drawing_style import DrawingStyle, place_on_page
from livery.kit.model import KitItem
from livery.kit.soft_drawing import draw_soft_kit, soft_bounds
from livery.placement.drawing import use_decal
from livery.placement.model import Layout
from livery.proof.setting import SOFT
from livery.scheme.model import ItemKind, Palette

SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0, 20.0)
"""Reductions a drawing is made at, so that a scale rule reads it (common practice)."""
GAP_MM = 7.0
"""Between pictures on a page (workshop choice)."""
FINE = DrawingStyle(line_mm=0.18, fine_mm=0.08)
"""Line weights of small pictures (workshop choice)."""

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """One picture of an item: how far it reaches in its frame, and how to draw it.

    Attributes:
        surface: key of the bat's surface shown; "" for a whole glove or pad.
    """

    layout: Layout
    name: str
    bounds: Bounds
    surface: str = ""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height at true size."""
        return self.bounds[2] - self.bounds[0], self.bounds[3] - self.bounds[1]


def ink_fills(palette: Palette) -> Mapping[str, LabColour]:
    """Each ink's aim, by key."""
    return {ink.key: ink.lab for ink in palette.inks}


def views_of(layout: Layout) -> tuple[View, ...]:
    """The pictures that show a whole item: four of a bat, one of a glove or pad."""
    item = layout.item
    if item.kind is ItemKind.BAT:
        names = {surface.key: surface.name for surface in item.surfaces}
        return tuple(
            View(layout, names[view.value], bat_bounds(item, view), view.value) for view in BatView
        )
    kind = "glove" if item.kind is ItemKind.GLOVE else "pad"
    return (View(layout, f"{item.side.capitalize()} {kind}".strip(), soft_bounds(item)),)


def draw_view(view: View, place: Affine, palette: Palette) -> tuple[Element, ...]:
    """A whole item with its decals on.

    Args:
        view: what to draw.
        place: the view's frame to the page (``place_on_page``).
        palette: the season's inks.
    """
    item = view.layout.item
    maps = {view.surface: place} if view.surface else surface_maps(item, place)
    decals = [use_decal(p, maps[p.surface]) for p in view.layout.placements if p.surface in maps]
    return (*_draw_bare(item, view.surface, place, palette), *decals)


@lru_cache(maxsize=64)
def _draw_bare(item: KitItem, surface: str, place: Affine, palette: Palette) -> tuple[Element, ...]:
    """An item without its decals: many orders hold it, each pictured at the same places."""
    fills = ink_fills(palette)
    if surface:
        return draw_bat(item, BatView(surface), place, fills, FINE)
    return draw_soft_kit(item, place, fills, FINE)


def surface_maps(item: KitItem, place: Affine) -> dict[str, Affine]:
    """Each surface's frame to the page, of a glove or pad drawn whole."""
    return {p.surface: place @ p.affine for p in item.panels if p.affine is not None}


def choose_scale(width_mm: float, height_mm: float, box: tuple[float, float]) -> float:
    """The smallest stated reduction at which something fits a box (width, height)."""
    for scale in SCALES:
        if width_mm / scale <= box[0] and height_mm / scale <= box[1]:
            return scale
    return max(width_mm / box[0], height_mm / box[1])


def scale_words(scale: float) -> str:
    """``1:2.5``."""
    return f"1:{scale:.3g}"


def draw_row(
    views: Sequence[View], left: float, top: float, scale: float, palette: Palette
) -> tuple[list[Element], float]:
    """Pictures side by side, standing on one line, named beneath; returns them and their width."""
    elements: list[Element] = []
    tallest = max(view.size_mm[1] for view in views) / scale
    x = left
    for view in views:
        x0, _, _, y1 = view.bounds
        width = view.size_mm[0] / scale
        place = place_on_page(x - x0 / scale, top - tallest + y1 / scale, 1.0 / scale)
        elements += draw_view(view, place, palette)
        middle = (x + width / 2, top - tallest - 4.0)
        elements.append(Label(view.name, *middle, 6.5, SOFT, Anchor.MIDDLE))
        x += width + GAP_MM
    return elements, x - GAP_MM - left
