"""Through cuts: a block round all decals of a sheet, or round each kit's, to lift in one piece.

Source: how far blocks stand off and how wide a gap they bridge [source: workshop-choice].
"""

from __future__ import annotations

import numpy as np
import shapely

from livery.drawing import LabColour, Shape, Spot, Stroke
from livery.geometry import Path
from livery.scheme.model import PrintProfile, ThroughCut
from livery.sheet.frame import Box
from livery.sheet.inspection import cut_areas
from livery.sheet.model import Sheet, SheetRun
from livery.sheet.raster import Area
from livery.sheet.regions import as_area
from livery.sheet.tally import spacing_mm
from livery.units import pt_to_mm

THROUGH_LAB: LabColour = (56.0, -40.0, -20.0)
THROUGH_LINE_PT = 0.25
_APART_MM = 0.25
_CORNER_MM = 3.0
_BRIDGE_MM = 8.0
_SMOOTH_MM = 0.02


def draw_blocks(run: SheetRun, sheet: Sheet, usable: Box) -> list[Shape]:
    """The through cuts of one sheet; none unless the profile asks for them."""
    profile = run.profile
    if profile.through_cut is ThroughCut.NOTHING or not sheet.items:
        return []
    areas = _outlines(run, sheet)
    if profile.through_cut is ThroughCut.SHEET:
        blocks = [_sheet_block(areas, profile, usable)]
    else:
        blocks = _kit_blocks(sheet, areas, profile)
    stroke = Stroke(Spot(profile.through_cut_name, THROUGH_LAB), pt_to_mm(THROUGH_LINE_PT))
    return [
        Shape(Path.from_geometry(block), stroke=stroke, overprint=True, name="through cut")
        for block in blocks
    ]


def _outlines(run: SheetRun, sheet: Sheet) -> list[Area]:
    used = {item.decal for item in sheet.items}
    outlines = {d.key: d.decal.outline.polygon() for d in run.decals if d.key in used}
    return cut_areas(sheet, outlines)


def _sheet_block(areas: list[Area], profile: PrintProfile, usable: Box) -> Area:
    """A box with round corners about all decals and their bleed, within what may print."""
    reach = spacing_mm(profile) / 2.0
    x0, y0, x1, y1 = shapely.total_bounds(areas)
    low = np.maximum((x0 - reach, y0 - reach), usable[:2])
    high = np.minimum((x1 + reach, y1 + reach), usable[2:])
    return _rounded(shapely.box(*low, *high))


def _rounded(area: Area) -> Area:
    return as_area(area.buffer(-_CORNER_MM, join_style="mitre").buffer(_CORNER_MM))


def _kit_blocks(sheet: Sheet, areas: list[Area], profile: PrintProfile) -> list[Area]:
    """A block round each kit's decals; it never reaches into another kit's or a spare's room.

    A kit whose decals stand apart gets several blocks.
    """
    reach = spacing_mm(profile) / 2.0 - _APART_MM
    rooms: dict[str, list[Area]] = {}
    for item, area in zip(sheet.items, areas, strict=True):
        rooms.setdefault(item.kit, []).append(area.buffer(reach))
    whole = {kit: shapely.union_all(parts) for kit, parts in rooms.items()}
    blocks: list[Area] = []
    for kit, room in whole.items():
        if not kit:
            continue
        others = shapely.union_all([other for name, other in whole.items() if name != kit])
        bridged = room.buffer(_BRIDGE_MM).buffer(-_BRIDGE_MM)
        block = bridged.difference(others.buffer(2.0 * _APART_MM))
        block = shapely.union_all([block.buffer(-_APART_MM).buffer(_APART_MM), room])
        parts = shapely.get_parts(block.simplify(_SMOOTH_MM))
        blocks += [shapely.Polygon(part.exterior) for part in parts]
    return blocks
