"""Faults of form in a cut line: what the blade cannot turn, or the hand cannot peel.

Source: sizes of slivers and islands [source: workshop-choice].
"""

from __future__ import annotations

import numpy as np
import shapely

from livery.scheme.model import PrintProfile
from livery.sheet.regions import PrintArtwork
from livery.sheet.remark import Remark
from livery.sheet.widths import corner_radius_mm, least_width_mm

CUT_SLIVER_MM = 2.0
CUT_ISLAND_MM2 = 25.0


def find_sharp_corners(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Corners of the cut, out or in, tighter than the blade should turn."""
    limit = profile.min_cut_radius_mm
    radius = corner_radius_mm(artwork.outline, limit)
    text = f"tightest corner of the cut has a radius of {radius:.2f} mm"
    if radius < limit:
        text += ": it lifts first; round it"
    return Remark.at_least("sharp-cut-corner", radius, limit, "mm", text)


def find_cut_slivers(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Parts of the cut shape so narrow that they tear when peeled."""
    del profile
    width = least_width_mm(artwork.outline, CUT_SLIVER_MM)
    text = f"narrowest part of the cut shape {width:.2f} mm"
    if width < CUT_SLIVER_MM:
        text += f", under {CUT_SLIVER_MM:g} mm: it tears when peeled; widen it"
    return Remark.at_least("cut-sliver", width, CUT_SLIVER_MM, "mm", text)


def find_cut_islands(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Loose parts of the cut shape too small to pick up."""
    del profile
    least = min(part.area for part in shapely.get_parts(artwork.outline))
    text = f"smallest loose part of the cut shape {least:.1f} mm²"
    if least < CUT_ISLAND_MM2:
        text += f", under {CUT_ISLAND_MM2:g} mm²: too small to pick up"
    return Remark.at_least("cut-island", least, CUT_ISLAND_MM2, "mm²", text)


def find_crossing_cuts(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Cut lines that cross or run over one another, which the blade would cut twice."""
    del profile
    lines = [
        shapely.LineString(ring if np.array_equal(ring[0], ring[-1]) else [*ring, ring[0]])
        for ring in artwork.cut.flattened()
        if len(ring) > 2
    ]
    crossing = sum(not line.is_simple for line in lines)
    for number, line in enumerate(lines):
        crossing += sum(line.intersects(other) for other in lines[number + 1 :])
    text = f"{crossing} crossings of cut lines" if crossing else "cut lines do not cross"
    return Remark.at_most("crossing-cuts", float(crossing), 0.0, "crossings", text)
