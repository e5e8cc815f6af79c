"""What a print shop would ring about, found before it has to: faults of form in printed decals.

Sizes of lettering and widths of drawn lines are limits of the profile's rule book; here is what
only the finished shapes show. Every finding is advice: the printer decides. Raster pictures need
no check of their resolution: artwork with one is refused when it is read.
"""

from __future__ import annotations

from collections.abc import Sequence

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
)


def inspect_layouts(layouts: Sequence[Layout], profile: PrintProfile) -> tuple[Finding, ...]:
    """Findings on every decal of the layouts, each looked at once in each of its sizes.

    Of decals that differ in their words alone the one with the smallest letters is looked at, so
    that the work does not grow with the number of players.

    Args:
        layouts: of the orders and of the range.
        profile: least line, cut radius, bleed and safe margin.
    """
    decals: dict[tuple[str, float], Decal] = {}
    for layout in layouts:
        for placed in layout.placements:
            key = (placed.decal.key.split("#")[0], round(placed.scale, _SCALE_DIGITS))
            if key not in decals or _smallest(placed.decal) < _smallest(decals[key]):
                decals[key] = placed.decal
    return inspect_decals([_print(decal, scale) for (_, scale), decal in decals.items()], profile)


def _smallest(decal: Decal) -> tuple[float, str]:
    """Height of the smallest letters, mm; the key breaks ties."""
    heights = [r.text_height_mm for r in decal.regions if r.text_height_mm is not None]
    return min(heights, default=0.0), decal.key


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
    words = " / ".join(text for _, text in decal.decal.texts if text)
    said = f"{decal.decal.name} “{words}”" if words else decal.decal.name
    return said if decal.scale == 1.0 else f"{said} at {100.0 * decal.scale:.2f} % of its size"
