"""Order papers as data: what to pick for whom, and how much ink, white and stock a run takes."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import shapely

from livery.sheet.model import SheetRun
from livery.sheet.regions import print_artwork
from livery.sheet.slug import run_inks


@dataclass(frozen=True, slots=True)
class PickLine:
    """Decals of one kind for one order on one sheet.

    Attributes:
        order: the order's key, or "" for spares.
        placements: where they go, each once.
    """

    order: str
    sheet: int
    decal: str
    name: str
    quantity: int
    placements: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Areas:
    """How much of everything a run takes, in mm²; decals at true size, bleed not counted.

    Attributes:
        inks: (ink key, area) in the palette's order, after knock-outs.
        white: under ink, before the choke; 0 where the profile has no white.
        decals: within all cut lines.
        stock: of all sheets.
    """

    inks: tuple[tuple[str, float], ...]
    white: float
    varnish: float
    decals: float
    stock: float
    sheets: int


def list_picks(run: SheetRun) -> tuple[PickLine, ...]:
    """The pick list: by order as the sheets name them, then sheet, then decal; spares last."""
    counts: Counter[tuple[str, int, str]] = Counter()
    places: dict[tuple[str, int, str], list[str]] = {}
    for sheet in run.sheets:
        for item in sheet.items:
            key = (item.order, sheet.number, item.decal)
            counts[key] += 1
            places.setdefault(key, []).append(item.placement)
    names = {decal.key: decal.decal.name for decal in run.decals}
    keys = sorted(counts, key=lambda key: (key[0] == "", *key))
    return tuple(
        PickLine(*key, names[key[2]], counts[key], tuple(sorted({p for p in places[key] if p})))
        for key in keys
    )


def sum_areas(run: SheetRun) -> Areas:
    """Areas of ink, white, varnish, decals and stock of a run."""
    copies = Counter(item.decal for sheet in run.sheets for item in sheet.items)
    inks = dict.fromkeys(run_inks(run), 0.0)
    inked = cut = 0.0
    for decal in run.decals:
        artwork = print_artwork(decal)
        above: shapely.geometry.base.BaseGeometry = shapely.Polygon()
        for region in reversed(artwork.regions):
            showing = region.area.intersection(artwork.outline).difference(above)
            inks[region.ink] += copies[decal.key] * showing.area
            above = above.union(region.area)
        inked += copies[decal.key] * above.intersection(artwork.outline).area
        cut += copies[decal.key] * artwork.outline.area
    return Areas(
        tuple(inks.items()),
        inked if run.profile.white else 0.0,
        cut if run.profile.varnish else 0.0,
        cut,
        sum(sheet.width_mm * sheet.height_mm for sheet in run.sheets),
        len(run.sheets),
    )
