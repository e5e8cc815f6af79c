"""What goes to the printer: nesting, bleed, cut lines, marks, control strip and slug."""

from livery.sheet.builds import Build, build_ink, inspect_builds, list_builds
from livery.sheet.gamut_picture import gamut_drawing
from livery.sheet.model import Nesting, Sheet, SheetDecal, SheetItem, SheetRun
from livery.sheet.names import inspect_names
from livery.sheet.pages import run_drawing, sheet_drawing
from livery.sheet.papers import (
    Areas,
    CostLine,
    DecalAreas,
    PickLine,
    describe_print,
    list_costs,
    list_picks,
    measure_decal,
    sum_areas,
)
from livery.sheet.preflight import inspect_decals, inspect_layouts
from livery.sheet.preparation import find_oversize
from livery.sheet.run import make_sheets
from livery.sheet.slug import run_inks
from livery.sheet.strip import ControlPatch, control_patches
from livery.sheet.symbols import symbol_keys

__all__ = [
    "Areas",
    "Build",
    "ControlPatch",
    "CostLine",
    "DecalAreas",
    "Nesting",
    "PickLine",
    "Sheet",
    "SheetDecal",
    "SheetItem",
    "SheetRun",
    "build_ink",
    "control_patches",
    "describe_print",
    "find_oversize",
    "gamut_drawing",
    "inspect_builds",
    "inspect_decals",
    "inspect_layouts",
    "inspect_names",
    "list_builds",
    "list_costs",
    "list_picks",
    "make_sheets",
    "measure_decal",
    "run_drawing",
    "run_inks",
    "sheet_drawing",
    "sum_areas",
    "symbol_keys",
]
