"""What a print shop would ring about, found before it has to: faults of form in printed decals.

Sizes of lettering and widths of drawn lines are limits of the profile's rule book; here is what
only the finished shapes show. Every finding is advice: the printer decides.

Source: sizes of slivers, islands and specks [source: workshop-choice].
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from livery.limits.model import Finding, Severity
from livery.scheme.model import PrintProfile
from livery.sheet.bleed import TOUCH_MM
from livery.sheet.model import SheetDecal
from livery.sheet.raster import Area
from livery.sheet.regions import PrintArtwork, print_artwork

CUT_SLIVER_MM = 2.0
CUT_ISLAND_MM2 = 25.0
SPECK_LINES = 2.0
_NEAR_EDGE_SHARE = 0.5
_CROSSINGS = 8.0
_DEPTH_MM = 0.02
_HALVINGS = 7
_LONG = 3.0
_STRETCH_MM = 2.0
_SOURCE = "workshop-choice"


def inspect_decals(decals: Sequence[SheetDecal], profile: PrintProfile) -> tuple[Finding, ...]:
    """Findings on printed decals, held and broken: of each decal's sizes and words, the worst.

    Args:
        decals: as they print, at their scale.
        profile: least line, cut radius, bleed and safe margin.

    Returns:
        One finding a decal and check, in the order of the decals; ``ok`` tells which hold.
    """
    checks = (
        find_hairlines,
        find_specks,
        find_sharp_corners,
        find_cut_slivers,
        find_cut_islands,
        find_crossing_cuts,
        find_missing_bleed,
        find_unsafe_ink,
    )
    worst: dict[tuple[str, str], Finding] = {}
    for decal in decals:
        artwork = print_artwork(decal)
        for check in checks:
            finding = check(decal, artwork, profile)
            key = (decal.decal.key.split("#")[0], finding.rule)
            if key not in worst or finding.margin < worst[key].margin:
                worst[key] = finding
    return tuple(worst.values())


def find_hairlines(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Ink areas that narrow to less than the thinnest line the printer holds."""
    limit = profile.min_line_mm
    widths = [(_least_width(region.area, limit), region.ink) for region in artwork.regions]
    width, ink = min(widths, default=(limit, ""))
    text = f"{ink} narrows to {width:.2f} mm" if width < limit else f"no ink under {limit:g} mm"
    return _at_least("hairline", decal, width, limit, "mm", text)


def find_specks(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Ink islands smaller than a square of twice the thinnest line."""
    limit = (SPECK_LINES * profile.min_line_mm) ** 2
    areas = [p.area for region in artwork.regions for p in shapely.get_parts(region.area)]
    least = min(areas, default=limit)
    text = f"smallest ink island {least:.2f} mm²"
    return _at_least("tiny-island", decal, least, limit, "mm²", text)


def find_sharp_corners(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Corners of the cut, out or in, tighter than the blade should turn."""
    limit = profile.min_cut_radius_mm
    radius = min(_corner_radius(artwork.outline, limit), _notch_radius(artwork.outline, limit))
    text = f"tightest corner of the cut has a radius of {radius:.2f} mm"
    if radius < limit:
        text += ": it lifts first; round it"
    return _at_least("sharp-cut-corner", decal, radius, limit, "mm", text)


def find_cut_slivers(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Parts of the cut shape so narrow that they tear when peeled."""
    del profile
    width = _least_width(artwork.outline, CUT_SLIVER_MM)
    text = f"narrowest part of the cut shape {width:.2f} mm"
    return _at_least("cut-sliver", decal, width, CUT_SLIVER_MM, "mm", text)


def find_cut_islands(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Loose parts of the cut shape too small to pick up."""
    del profile
    least = min(part.area for part in shapely.get_parts(artwork.outline))
    text = f"smallest loose part of the cut shape {least:.1f} mm²"
    return _at_least("cut-island", decal, least, CUT_ISLAND_MM2, "mm²", text)


def find_crossing_cuts(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
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
    return _at_most("crossing-cuts", decal, float(crossing), 0.0, "crossings", text)


def find_missing_bleed(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Ink that nearly reaches the cut: it gets no bleed, and a hair of stock shows beside it.

    Measured as the length of cut line with such ink within half the bleed, less what a few edges
    that cross the cut squarely account for.
    """
    near = _NEAR_EDGE_SHARE * profile.bleed_mm
    inked = shapely.union_all([region.area for region in artwork.regions])
    edge = artwork.outline.boundary
    short = edge.intersection(inked.buffer(near)).difference(inked.buffer(TOUCH_MM))
    length = max(short.length - _CROSSINGS * near, 0.0)
    text = (
        f"{length:.1f} mm of the cut has ink close to it that does not reach it: "
        "run the ink to the cut line"
        if length
        else "ink reaches the cut or keeps away from it"
    )
    return _at_most("missing-bleed", decal, length, 0.0, "mm", text)


def find_unsafe_ink(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Finding:
    """Ink that stands clear of the cut, yet inside the safe margin."""
    edge = artwork.outline.boundary
    gaps = []
    for region in artwork.regions:
        for part in shapely.get_parts(region.area):
            gap = float(part.distance(edge))
            if gap > TOUCH_MM and artwork.outline.covers(part):
                gaps.append(gap)
    least = min(gaps, default=profile.safe_mm)
    text = f"ink that does not meet the cut keeps {least:.2f} mm from it"
    return _at_least("safe-margin", decal, least, profile.safe_mm, "mm", text)


def _at_least(
    rule: str, decal: SheetDecal, measured: float, limit: float, unit: str, text: str
) -> Finding:
    margin = measured - limit
    return _finding(rule, decal, measured, limit, margin, unit, text)


def _at_most(
    rule: str, decal: SheetDecal, measured: float, limit: float, unit: str, text: str
) -> Finding:
    return _finding(rule, decal, measured, limit, limit - measured, unit, text)


def _finding(
    rule: str,
    decal: SheetDecal,
    measured: float,
    limit: float,
    margin: float,
    unit: str,
    text: str,
) -> Finding:
    words = f"Decal {decal.decal.name}: {text}."
    return Finding(
        rule, Severity.ADVICE, decal.key, measured, limit, margin, unit, _SOURCE, words, margin >= 0
    )


def _greatest(holds: Callable[[float], bool], limit: float) -> float:
    """The greatest size up to ``limit`` that holds, by halving; 0 when none does."""
    if holds(limit):
        return limit
    low, high = 0.0, limit
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _least_width(area: Area, limit: float) -> float:
    """Least width that a shape keeps over a stretch; the limit when it is nowhere narrower.

    What opening by a width takes away is narrower than it. Corners and the tips of leaves lose
    short pieces only, and do not count.
    """
    stretch = max(_STRETCH_MM, _LONG * limit)

    def holds(width: float) -> bool:
        opened = area.buffer(-width / 2.0).buffer(width / 2.0 * 1.01)
        lost = shapely.get_parts(area.difference(opened))
        return not any(_length(part) > stretch for part in lost)

    return _greatest(holds, limit)


def _length(part: BaseGeometry) -> float:
    x0, y0, x1, y1 = part.bounds
    return float(np.hypot(x1 - x0, y1 - y0))


def _corner_radius(outline: Area, limit: float) -> float:
    def holds(radius: float) -> bool:
        opened = outline.buffer(-radius).buffer(radius + _DEPTH_MM)
        return bool(opened.covers(outline))

    return _greatest(holds, limit)


def _notch_radius(outline: Area, limit: float) -> float:
    def holds(radius: float) -> bool:
        closed = outline.buffer(radius).buffer(-radius - _DEPTH_MM)
        return bool(outline.covers(closed))

    return _greatest(holds, limit)
