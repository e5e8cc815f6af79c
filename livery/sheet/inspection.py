"""Every layout is looked at again with exact outlines before anyone may print it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely

from livery.geometry import Affine, Area
from livery.sheet.frame import Box
from livery.sheet.model import Sheet

_ALLOWANCE_MM = 1e-6


def cut_areas(sheet: Sheet, outlines: Mapping[str, Area]) -> list[Area]:
    """The items' cut outlines where they stand on the sheet.

    Args:
        sheet: the sheet.
        outlines: decal key to its outline in the decal's own frame, nominal size.
    """
    return [
        shapely.affinity.affine_transform(outlines[item.decal], item.affine.for_shapely)
        for item in sheet.items
    ]


def least_gap_mm(areas: list[Area], reach_mm: float = 50.0) -> float:
    """Least distance between any two outlines.

    Args:
        areas: the outlines.
        reach_mm: pairs farther apart are not looked for.

    Returns:
        0 when two touch or overlap, infinity when none is within reach of another.
    """
    one, other = shapely.STRtree(areas).query(areas, predicate="dwithin", distance=reach_mm)
    pairs = one < other
    if not pairs.any():
        return float("inf")
    placed = np.array(areas, dtype=object)
    return float(np.min(shapely.distance(placed[one[pairs]], placed[other[pairs]])))


def sheet_holds(areas: list[Area], usable: Box, spacing_mm: float, bleed_mm: float) -> bool:
    """Whether outlines keep their spacing, and their bleed stays in the usable area."""
    if not areas:
        return True
    x0, y0, x1, y1 = shapely.total_bounds(areas)
    within = (
        x0 - bleed_mm >= usable[0] - _ALLOWANCE_MM
        and y0 - bleed_mm >= usable[1] - _ALLOWANCE_MM
        and x1 + bleed_mm <= usable[2] + _ALLOWANCE_MM
        and y1 + bleed_mm <= usable[3] + _ALLOWANCE_MM
    )
    return bool(within) and least_gap_mm(areas, spacing_mm) >= spacing_mm - _ALLOWANCE_MM


def place(x_mm: float, y_mm: float, turn_deg: float, frame: Affine) -> Affine:
    """The map from a decal's frame to a sheet: its print frame, turned, then moved."""
    return Affine.translation(x_mm, y_mm) @ Affine.rotation(turn_deg) @ frame
