"""What a print shop would ring about, found before it has to: faults of form in printed decals.

Sizes of lettering and widths of drawn lines are limits of the profile's rule book; here is what
only the finished shapes show. Every finding is advice: the printer decides. Raster pictures need
no check of their resolution: artwork with one is refused when it is read.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from livery.artwork.model import Decal
from livery.limits.model import Finding, Severity
from livery.placement.model import Layout
from livery.scheme.model import PrintProfile
from livery.sheet.cutforms import (
    find_crossing_cuts,
    find_cut_islands,
    find_cut_slivers,
    find_sharp_corners,
)
from livery.sheet.inkforms import (
    find_hairlines,
    find_lost_ink,
    find_missing_bleed,
    find_open_paths,
    find_slivers,
    find_specks,
    find_unsafe_ink,
)
from livery.sheet.model import SheetDecal
from livery.sheet.regions import print_artwork
from livery.sheet.remark import Remark

_SCALE_DIGITS = 4
_MOST_NAMES = 6
_CHECKS = (
    find_hairlines,
    find_slivers,
    find_specks,
    find_open_paths,
    find_sharp_corners,
    find_cut_slivers,
    find_cut_islands,
    find_crossing_cuts,
    find_missing_bleed,
    find_unsafe_ink,
    find_lost_ink,
)


def inspect_layouts(layouts: Sequence[Layout], profile: PrintProfile) -> tuple[Finding, ...]:
    """Findings on every decal of the layouts, each looked at once in each of its sizes.

    Of decals that differ in their words alone the one with the smallest letters and the one with
    the widest words are looked at, so that the work does not grow with the number of players.

    Args:
        layouts: of the orders and of the range.
        profile: least line, cut radius, bleed and safe margin.
    """
    decals: dict[tuple[str, float], list[Decal]] = {}
    for layout in layouts:
        for placed in layout.placements:
            key = (placed.decal.key.split("#")[0], round(placed.scale, _SCALE_DIGITS))
            worst = decals.setdefault(key, [placed.decal, placed.decal])
            worst[0] = min(worst[0], placed.decal, key=_smallest)
            worst[1] = min(worst[1], placed.decal, key=_widest)
    looked_at = {
        decal.key + f"@{scale:g}": _print(decal, scale)
        for (_, scale), pair in decals.items()
        for decal in pair
    }
    found = inspect_decals(list(looked_at.values()), profile)
    wide = _names_that_run_over(layouts)
    return tuple(_with_names(finding, wide.get(finding.subject, ())) for finding in found)


def _names_that_run_over(layouts: Sequence[Layout]) -> dict[str, list[str]]:
    """Words that run over the box of their decal's cut line, by the subject of the widest."""
    over: dict[str, dict[str, tuple[float, str]]] = {}
    for layout in layouts:
        for placed in layout.placements:
            if _runs_over(placed.decal):
                subject = _subject(_print(placed.decal, placed.scale))
                own = over.setdefault(placed.decal.key.split("#")[0], {})
                own.setdefault(_said(placed.decal), (*_widest(placed.decal)[:1], subject))
    return {
        subject: [words for words in own if words != widest]
        for own in over.values()
        for widest, (_, subject) in [min(own.items(), key=lambda one: one[1])]
    }


def _runs_over(decal: Decal) -> bool:
    letters = [r.path.points for r in decal.regions if r.text_height_mm is not None]
    if not any(len(points) for points in letters):
        return False
    points, outline = np.concatenate(letters), decal.outline.points
    beyond = (points.min(axis=0) < outline.min(axis=0)) | (points.max(axis=0) > outline.max(axis=0))
    return bool(beyond.any())


def _with_names(finding: Finding, names: Sequence[str]) -> Finding:
    if finding.ok or finding.rule != "ink-outside-cut" or not names:
        return finding
    shown = ", ".join(f"“{name}”" for name in names[:_MOST_NAMES])
    more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
    return replace(finding, text=f"{finding.text} So it is with {shown}{more}.")


def _smallest(decal: Decal) -> tuple[float, str]:
    """Height of the smallest letters, mm; the key breaks ties."""
    height = decal.smallest_text_mm
    return math.inf if height is None else height, decal.key


def _widest(decal: Decal) -> tuple[float, str]:
    """How wide the words are set, near enough, mm, the widest first; the key breaks ties."""
    across = (r.path.points[:, 0] for r in decal.regions if r.text_height_mm is not None)
    return -max((float(np.ptp(x)) for x in across if len(x)), default=0.0), decal.key


def _print(decal: Decal, scale: float) -> SheetDecal:
    key = decal.key + (f"@{scale:g}" if scale != 1.0 else "")
    return SheetDecal(key, decal, scale, False)


def inspect_decals(decals: Sequence[SheetDecal], profile: PrintProfile) -> tuple[Finding, ...]:
    """Findings on printed decals, held and broken: of each decal's sizes and words, the worst.

    Args:
        decals: as they print, at their scale.
        profile: least line, cut radius, bleed and safe margin.

    Returns:
        One finding a decal and check, in the order of the decals; ``ok`` tells which hold.
    """
    worst: dict[tuple[str, str], tuple[SheetDecal, Remark]] = {}
    for decal in decals:
        artwork = print_artwork(decal)
        for check in _CHECKS:
            remark = check(artwork, profile)
            key = (decal.decal.key.split("#")[0], remark.rule)
            if key not in worst or remark.margin < worst[key][1].margin:
                worst[key] = (decal, remark)
    source = f"Print profile, {profile.name} (workshop choice)"
    return tuple(_finding(decal, remark, source) for decal, remark in worst.values())


def _finding(decal: SheetDecal, remark: Remark, source: str) -> Finding:
    return Finding(
        remark.rule,
        Severity.ADVICE,
        _subject(decal),
        remark.measured,
        remark.limit,
        remark.margin,
        remark.unit,
        source,
        f"Decal {decal.decal.name}: {remark.text}.",
        remark.margin >= 0,
    )


def _subject(decal: SheetDecal) -> str:
    """A printed decal as people say it: by its name, words and size."""
    words = _said(decal.decal)
    said = f"{decal.decal.name} “{words}”" if words else decal.decal.name
    return said if decal.scale == 1.0 else f"{said} at {100.0 * decal.scale:.2f} % of its size"


def _said(decal: Decal) -> str:
    return " / ".join(text for _, text in decal.texts if text)
