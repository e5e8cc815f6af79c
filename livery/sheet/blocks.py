"""Cuts round many decals: blocks that lift in one piece, a frame whose waste peels in one piece.

A block is cut through round all decals of a sheet, or round each kit's; a frame is a kiss cut.

Source: how far blocks stand off and how wide a gap they bridge [source: workshop-choice].
"""

from __future__ import annotations

import numpy as np
import shapely

from livery.drawing import Shape
from livery.geometry import Area, Path
from livery.scheme.model import PrintProfile, ThroughCut
from livery.sheet.frame import Box
from livery.sheet.inspection import cut_areas
from livery.sheet.model import Sheet, SheetRun
from livery.sheet.pieces import spacing_mm
from livery.sheet.regions import as_area
from livery.sheet.symbols import cut_stroke, through_stroke

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
        reach = max(spacing_mm(profile) / 2.0, profile.weeding_margin_mm)
        blocks = [_box_about(areas, reach, usable)]
    else:
        blocks = _kit_blocks(sheet, areas, profile)
    stroke = through_stroke(profile)
    return [
        Shape(Path.from_geometry(block), stroke=stroke, overprint=True, name="through cut")
        for block in blocks
    ]


def _outlines(run: SheetRun, sheet: Sheet) -> list[Area]:
    used = {item.decal for item in sheet.items}
    outlines = {d.key: d.decal.outline.polygon() for d in run.decals if d.key in used}
    return cut_areas(sheet, outlines)


def draw_weeding_frame(run: SheetRun, sheet: Sheet, usable: Box) -> list[Shape]:
    """The cut that bounds a sheet's waste; none where a through cut does, or without a margin."""
    profile = run.profile
    bounded = profile.through_cut is not ThroughCut.NOTHING
    if profile.weeding_margin_mm <= 0.0 or bounded or not sheet.items:
        return []
    frame = _box_about(_outlines(run, sheet), profile.weeding_margin_mm, usable)
    path = Path.from_geometry(frame)
    return [Shape(path, stroke=cut_stroke(profile), overprint=True, name="weeding frame")]


def _box_about(areas: list[Area], reach: float, usable: Box) -> Area:
    """A box with round corners about all decals, within what may print."""
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
