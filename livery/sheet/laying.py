"""Copies where they were placed, as sheets, and whether these hold what they must."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely

from livery.geometry import Area
from livery.sheet.frame import Box, least_usable_mm
from livery.sheet.inspection import cut_areas, place, sheet_holds
from livery.sheet.model import Sheet, SheetItem
from livery.sheet.pieces import liner_piece, reach_mm, spacing_mm
from livery.sheet.preparation import Job
from livery.sheet.silhouette import Spot
from livery.sheet.tally import Copy, print_frame


def lay_sheets(job: Job, placed: list[list[tuple[Copy, Spot]]]) -> list[Sheet]:
    """Sheets of the stock with every copy where it was placed; of a roll, as long as they need."""
    profile = job.profile
    frames = {decal.key: print_frame(decal) for decal in job.tally.decals}
    over = spacing_mm(profile) / 2.0 - reach_mm(profile)
    x0, y0 = job.field[0] - over, job.field[1] - over
    sheets = []
    for number, spots in enumerate(placed, start=1):
        items = []
        for copy, spot in spots:
            x, y = round(spot.x_mm + x0, 4), round(spot.y_mm + y0, 4)
            affine = place(x, y, spot.turn_deg, frames[copy.decal])
            items.append(SheetItem(copy.decal, affine, copy.order, copy.placement, copy.kit))
        size = (profile.stock_width_mm, profile.stock_height_mm)
        sheets.append(Sheet(number, len(placed), *size, tuple(items)))
    return _to_length(sheets, job)


def _to_length(sheets: Sequence[Sheet], job: Job) -> list[Sheet]:
    """Sheets as they are, or of a roll as long as their decals and marks need, in whole mm."""
    if not job.profile.roll:
        return list(sheets)
    outlines, _, bleed = _kept_clear(job)
    above = job.frame.height_mm - job.field[3] + bleed
    _, y0, _, y1 = job.frame.usable
    least = y0 + least_usable_mm(job.profile) + job.frame.height_mm - y1
    tops = [float(shapely.total_bounds(cut_areas(sheet, outlines))[3]) for sheet in sheets]
    lengths = [math.ceil(max(top + above, least)) for top in tops]
    return [
        replace(sheet, height_mm=min(float(length), sheet.height_mm))
        for sheet, length in zip(sheets, lengths, strict=True)
    ]


def field_of(sheet: Sheet, job: Job) -> Box:
    """Where decals lie on a sheet of its own length."""
    x0, y0, x1, y1 = job.field
    return x0, y0, x1, y1 - job.frame.height_mm + sheet.height_mm


def find_unsound(sheets: Sequence[Sheet], job: Job) -> int:
    """Number of the first sheet that breaks its spacing by exact outlines; 0 when none does."""
    areas, apart, bleed = _kept_clear(job)
    for sheet in sheets:
        if not sheet_holds(cut_areas(sheet, areas), field_of(sheet, job), apart, bleed):
            return sheet.number
    return 0


def _kept_clear(job: Job) -> tuple[dict[str, Area], float, float]:
    """What of each decal keeps apart, by how much, and how far its print reaches beyond.

    Exact outlines with their spacing and bleed; or pieces of liner with the gap, and nothing
    beyond. Areas are in the decals' own frames.
    """
    profile, decals = job.profile, job.tally.decals
    if profile.peel_tab_mm <= 0.0:
        outlines = {decal.key: decal.decal.outline.polygon() for decal in decals}
        return outlines, spacing_mm(profile), profile.bleed_mm
    pieces = {}
    for decal in decals:
        frame = print_frame(decal)
        piece = liner_piece(decal.decal.outline.transformed(frame).polygon(), profile)
        back = frame.inverse().for_shapely
        pieces[decal.key] = shapely.affinity.affine_transform(piece, back)
    return pieces, profile.gap_mm, 0.0
