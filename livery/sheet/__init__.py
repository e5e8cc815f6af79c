"""What goes to the printer: nesting, bleed, cut lines, marks, control strip and slug.

In come orders' layouts; out goes a ``SheetRun`` (``model``), and its pages. In ``run``:

1. ``tally`` counts which decals print; ``preparation`` says what each takes (``pieces``) and what
   room a sheet gives (``frame``); ``refusals`` names what no sheet holds. ``preflight`` looks for
   faults of form (``cutforms``, ``inkforms``, by ``widths``, each a ``remark``), ``names`` for
   letters that no font has.
2. ``placing`` says where every copy goes: from a file (``keeping``), or nested.
   ``nesting`` seats ``silhouette``s on a ``raster``, many alike by ``tiling`` (a ``lattice`` of
   ``rows``); ``filling`` tries a few orders, then has ``emptying`` save sheets and ``compaction``
   shorten them: ``overlap`` measures, ``separation`` pushes apart, ``settling`` closes up, by
   ``convex`` parts. ``kits`` nests blocks; ``search`` goes on as long as it is allowed.
3. ``laying`` makes sheets of it, and ``inspection`` looks at each again with exact outlines.
4. ``fingerprint`` is the hash of all that prints.

``pages`` draws a sheet: ``symbols`` for its decals (``regions`` of ink, ``bleed``, ``trap``),
``blocks`` of cuts, ``marks``, the control ``strip``, the ``slug`` and ``plate_names``. ``papers``
reckons what a run takes; ``builds`` prints inks of four, as ``gamut_picture`` shows.
"""

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
