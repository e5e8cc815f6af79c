"""Faults of form in ink: what a press cannot hold, or a cutter's drift would show.

Source: sizes of specks, how near an edge counts as near, and how far a ground may be drawn beyond
the cut as bleed [source: workshop-choice].
"""

from __future__ import annotations

from functools import lru_cache

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from livery.geometry import Area
from livery.scheme.model import PrintProfile
from livery.sheet.bleed import TOUCH_MM
from livery.sheet.regions import PrintArtwork, PrintRegion, showing_inks
from livery.sheet.remark import Remark
from livery.sheet.widths import least_width_mm

SPECK_LINES = 2.0
_NEAR_EDGE_SHARE = 0.5
_CROSSINGS = 8.0
_GRAZE_MM = 0.02
_DRAWN_BLEED_MM = 5.0


def find_hairlines(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Drawn shapes that narrow to less than the thinnest line the printer holds."""
    limit = profile.min_line_mm
    widths = [(least_width_mm(region.area, limit), region.ink) for region in artwork.regions]
    width, ink = min(widths, default=(limit, ""))
    text = f"no ink under {limit:g} mm"
    if width < limit:
        text = f"{ink} narrows to {width:.2f} mm, under the thinnest line of {limit:g} mm: widen it"
    return Remark.at_least("hairline", width, limit, "mm", text)


def find_slivers(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """What overlaps leave of an ink, or of the stock between inks, narrower than a line.

    Where curves merely touch, rounding leaves slivers of no width; they are not meant.
    """
    limit = profile.min_line_mm
    showing = showing_inks(artwork)
    stock = artwork.outline.difference(_inked(artwork))
    widths = [
        (least_width_mm(_without_grazes(area), limit), name)
        for name, area in [*showing, ("bare stock", stock)]
    ]
    width, name = min(widths)
    text = f"no sliver under {limit:g} mm"
    if width < limit:
        text = f"{name} shows as a sliver of {width:.2f} mm: close it or widen it"
    return Remark.at_least("sliver", width, limit, "mm", text)


def find_specks(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Ink islands smaller than a square of twice the thinnest line."""
    limit = (SPECK_LINES * profile.min_line_mm) ** 2
    areas = [p.area for region in artwork.regions for p in shapely.get_parts(region.area)]
    least = min(areas, default=limit)
    text = f"smallest ink island {least:.2f} mm²"
    if least < limit:
        text += f", under {limit:.2f} mm²: it may not print"
    return Remark.at_least("tiny-island", least, limit, "mm²", text)


def find_open_paths(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Filled paths that the file leaves open: filling closes them by a straight line."""
    del profile
    inks = [region.ink for region in artwork.regions if not region.closed]
    text = "every filled path is closed"
    if inks:
        named = ", ".join(dict.fromkeys(inks))
        text = (
            f"{len(inks)} filled paths are left open ({named}); a straight line closes them here, "
            "and another program may not: close them"
        )
    return Remark.at_most("open-path", float(len(inks)), 0.0, "paths", text)


def find_missing_bleed(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Ink that nearly reaches the cut: it gets no bleed, and a hair of stock shows beside it.

    Measured as the length of cut line with such ink within half the bleed, less what a few edges
    that cross the cut squarely account for.
    """
    near = _NEAR_EDGE_SHARE * profile.bleed_mm
    inked, edge = _inked(artwork), artwork.outline.boundary
    short = edge.intersection(inked.buffer(near)).difference(inked.buffer(TOUCH_MM))
    length = max(short.length - _CROSSINGS * near, 0.0)
    text = (
        f"{length:.1f} mm of the cut has ink close to it that does not reach it: "
        "run the ink to the cut line"
        if length
        else "ink reaches the cut or keeps away from it"
    )
    return Remark.at_most("missing-bleed", length, 0.0, "mm", text)


def find_unsafe_ink(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Ink that shows clear of the cut, yet inside the safe margin."""
    edge = artwork.outline.boundary
    gaps = [(profile.safe_mm, "")]
    for ink, area in showing_inks(artwork):
        for part in shapely.get_parts(_without_grazes(area)):
            gap = float(part.distance(edge))
            if gap > TOUCH_MM and artwork.outline.covers(part):
                gaps.append((gap, ink))
    least, ink = min(gaps)
    text = (
        f"{ink} that does not meet the cut keeps {least:.2f} mm from it"
        if ink
        else f"ink meets the cut or keeps {profile.safe_mm:g} mm from it"
    )
    return Remark.at_least("safe-margin", least, profile.safe_mm, "mm", text)


def find_lost_ink(artwork: PrintArtwork, profile: PrintProfile) -> Remark:
    """Ink drawn where nothing of it is kept: clear of the cut, or farther beyond it than a bleed.

    Lettering has no bleed: whatever of it the cut takes is lost.
    """
    reach = max(profile.bleed_mm, _DRAWN_BLEED_MM)
    bled = artwork.outline.buffer(reach)
    lost = [(_lost_part(region, artwork.outline, bled), region) for region in artwork.regions]
    area = sum(part.area for part, _ in lost)
    text = "no ink is drawn where the cut takes it off"
    if area:
        part, region = max(lost, key=lambda one: one[0].area)
        what, mend = "", "move it inside, or widen the cut line"
        if region.lettering:
            what, mend = "lettering in ", "hold the text by data-fit-width-mm, or move it inside"
        text = (
            f"{part.area:.1f} mm² of {what}{region.ink} is drawn outside the cut line, about "
            f"{_place(part)}, and is lost: {mend}"
        )
    return Remark.at_most("ink-outside-cut", area, 0.0, "mm²", text)


def _lost_part(region: PrintRegion, outline: Area, bled: Area) -> BaseGeometry:
    if outline.covers(region.area):
        return Polygon()
    if region.lettering:
        return _without_grazes(region.area.difference(outline))
    parts = shapely.get_parts(region.area)
    apart = ~shapely.intersects(parts, outline)
    kept = shapely.union_all(parts[~apart])
    return shapely.union_all([*parts[apart], kept.difference(bled)])


def _place(area: BaseGeometry) -> str:
    """Where it lies from the middle of the cut line's box, at the printed size."""
    x, y = area.representative_point().coords[0]
    across, along = "right" if x >= 0 else "left", "above" if y >= 0 else "below"
    return f"{abs(x):.0f} mm {across} of and {abs(y):.0f} mm {along} the decal's middle"


@lru_cache(maxsize=8)
def _inked(artwork: PrintArtwork) -> BaseGeometry:
    """All ink of a decal as one area."""
    return shapely.union_all([region.area for region in artwork.regions])


@lru_cache(maxsize=32)
def _without_grazes(area: BaseGeometry) -> BaseGeometry:
    return area.buffer(-_GRAZE_MM / 2.0).buffer(_GRAZE_MM / 2.0, join_style="mitre")
