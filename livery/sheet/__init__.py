"""What goes to the printer: nesting, bleed, cut lines, marks, control strip and slug."""

from livery.sheet.keeping import keep_placements
from livery.sheet.model import Nesting, Sheet, SheetDecal, SheetItem, SheetRun
from livery.sheet.pages import run_drawing, sheet_drawing
from livery.sheet.papers import Areas, PickLine, list_picks, sum_areas
from livery.sheet.preflight import inspect_decals, inspect_layouts
from livery.sheet.run import make_sheets
from livery.sheet.strip import ControlPatch, control_patches

__all__ = [
    "Areas",
    "ControlPatch",
    "Nesting",
    "PickLine",
    "Sheet",
    "SheetDecal",
    "SheetItem",
    "SheetRun",
    "control_patches",
    "inspect_decals",
    "inspect_layouts",
    "keep_placements",
    "list_picks",
    "make_sheets",
    "run_drawing",
    "sheet_drawing",
    "sum_areas",
]
