"""The things decorated: blades, gloves and pads as flat surfaces in mm."""

from livery.kit.blade import build_bat, build_surfaces
from livery.kit.outline import find_outline_faults, measure_asymmetry_mm
from livery.kit.section import find_dims_faults

__all__ = [
    "build_bat",
    "build_surfaces",
    "find_dims_faults",
    "find_outline_faults",
    "measure_asymmetry_mm",
]
