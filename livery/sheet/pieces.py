"""What a decal takes of the sheet: its bleed, or a piece of liner cut through, with a tab.

A gloved hand lifts a decal by its tab, which stands out at the end of the longer side, and peels
the film along it. What is cut through keeps the gap from what is cut through beside it.

Source: 2 mm of liner round the film at the least; a tab as wide as it is long
[source: workshop-choice].
"""

from __future__ import annotations

import shapely
from shapely.geometry import MultiPolygon, Polygon

from livery.geometry import Area
from livery.scheme.model import PrintProfile

_LINER_MM = 2.0
_END_MM = 1.0
_CORNER_MM = 1.0
_SMOOTH_MM = 0.01


def reach_mm(profile: PrintProfile) -> float:
    """How far a decal's print, or its piece of liner but for the tab, reaches beyond the cut."""
    if profile.peel_tab_mm > 0.0:
        return max(profile.bleed_mm, _LINER_MM)
    return profile.bleed_mm


def spacing_mm(profile: PrintProfile) -> float:
    """Least distance from cut line to cut line.

    The gap asked for, and room for both bleeds; with peel tabs, both pieces and the gap between.
    """
    if profile.peel_tab_mm > 0.0:
        return profile.gap_mm + 2.0 * reach_mm(profile)
    return max(profile.gap_mm, 2.0 * profile.bleed_mm)


def weeding_inset_mm(profile: PrintProfile) -> float:
    """How much nearer the middle decals stand so that a cut round them all has room."""
    return max(profile.weeding_margin_mm - reach_mm(profile), 0.0)


def liner_piece(outline: Area, profile: PrintProfile) -> Area:
    """A decal's piece of liner: its outline grown, and a tab at the end of the longer side.

    Args:
        outline: within the cut line, in the print frame, mm; loose parts get a tab each.
        profile: says how long the tab is.
    """
    grown = outline.buffer(reach_mm(profile))
    solid = shapely.union_all([Polygon(part.exterior) for part in shapely.get_parts(grown)])
    parts = [_with_tab(part, profile.peel_tab_mm) for part in shapely.get_parts(solid)]
    whole = shapely.union_all(parts).simplify(_SMOOTH_MM)
    return whole if isinstance(whole, Polygon) else MultiPolygon(shapely.get_parts(whole))


def _with_tab(part: Polygon, length_mm: float) -> Area:
    """A part with its tab, the corners between them and of the tab rounded for the blade."""
    x0, y0, x1, y1 = part.bounds
    along = x1 - x0 >= y1 - y0
    end = shapely.box(x1 - _END_MM, y0, x1, y1) if along else shapely.box(x0, y0, x1, y0 + _END_MM)
    tip = max(shapely.get_parts(part.intersection(end)), key=lambda p: p.area)
    foot = tip.representative_point()
    half = length_mm / 2.0
    if along:
        tab = shapely.box(foot.x, foot.y - half, x1 + length_mm, foot.y + half)
    else:
        tab = shapely.box(foot.x - half, y0 - length_mm, foot.x + half, foot.y)
    corner = min(_CORNER_MM, half / 2.0)
    tab = tab.buffer(-corner).buffer(corner)
    joined: Area = part.union(tab).buffer(corner).buffer(-corner)
    return joined
