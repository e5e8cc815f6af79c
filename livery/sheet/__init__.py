"""What goes to the printer: nesting, bleed, cut lines, marks, control strip and slug."""

from livery.sheet.model import Nesting, Sheet, SheetDecal, SheetItem, SheetRun
from livery.sheet.pages import run_drawing, sheet_drawing
from livery.sheet.run import make_sheets

__all__ = [
    "Nesting",
    "Sheet",
    "SheetDecal",
    "SheetItem",
    "SheetRun",
    "make_sheets",
    "run_drawing",
    "sheet_drawing",
]
