"""The things decorated: blades, gloves and pads as flat surfaces in mm, and their drawings.

In come dimensions, or an outline drawn by hand; out go a ``KitItem``'s surfaces (``model``) and
pictures of it.

- A bat: ``section`` is the blade as a solid, ``outline`` one drawn by hand; ``development`` lays
  its sides flat, and ``blade`` makes surfaces of them.
- Gloves and pads: ``soft`` cuts panels by packaged ``proportions``, their corners by ``rounding``.
- Drawings: ``bat_drawing``, ``soft_drawing`` and ``surface_drawing``, one way in for any item in
  ``kit_drawing``; ``dimension_drawing`` measures, ``drawing_style`` is what they share.
"""

from livery.kit.bat_drawing import BatView, draw_bat
from livery.kit.blade import build_bat, build_surfaces
from livery.kit.dimension_drawing import draw_dimension
from livery.kit.drawing_style import place_on_page
from livery.kit.kit_drawing import draw_item, item_bounds, surface_place
from livery.kit.outline import find_outline_faults
from livery.kit.section import find_dims_faults
from livery.kit.soft import build_gloves, build_pads
from livery.kit.soft_drawing import draw_soft_kit
from livery.kit.surface_drawing import (
    draw_surface,
    draw_zone_names,
    draw_zones,
    surface_fill,
)

__all__ = [
    "BatView",
    "build_bat",
    "build_gloves",
    "build_pads",
    "build_surfaces",
    "draw_bat",
    "draw_dimension",
    "draw_item",
    "draw_soft_kit",
    "draw_surface",
    "draw_zone_names",
    "draw_zones",
    "find_dims_faults",
    "find_outline_faults",
    "item_bounds",
    "place_on_page",
    "surface_fill",
    "surface_place",
]
