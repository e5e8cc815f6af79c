"""The things decorated: blades, gloves and pads as flat surfaces in mm."""

from livery.kit.blade import build_bat, build_surfaces
from livery.kit.measures import BatMeasures, measure_bat
from livery.kit.outline import find_outline_faults, measure_asymmetry_mm
from livery.kit.section import find_dims_faults
from livery.kit.soft import build_gloves, build_pads, item_outline, surface_in_item

__all__ = [
    "BatMeasures",
    "build_bat",
    "build_gloves",
    "build_pads",
    "build_surfaces",
    "find_dims_faults",
    "find_outline_faults",
    "item_outline",
    "measure_asymmetry_mm",
    "measure_bat",
    "surface_in_item",
]
