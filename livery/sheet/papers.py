"""Order papers as data: what to pick for whom, and how much ink, white and stock a run takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from livery.sheet.builds import PROCESS_NAMES, list_builds
from livery.sheet.model import SheetDecal, SheetRun
from livery.sheet.regions import print_artwork, showing_inks
from livery.sheet.slug import run_inks

_MM2_PER_M2 = 1e6


@dataclass(frozen=True, slots=True)
class PickLine:
    """Decals of one kind for one order on one sheet.

    Attributes:
        order: the order's key, or "" for spares.
        placements: where they go, each once.
        numbers: of the sheet's items, from 1, as its contact sheet shows them.
    """

    order: str
    sheet: int
    decal: str
    name: str
    quantity: int
    placements: tuple[str, ...]
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class DecalAreas:
    """What one copy of a decal takes, in mm².

    Attributes:
        inks: (ink key, area after knock-outs), each ink once.
        inked: under any ink.
        cut: within the cut line.
    """

    inks: tuple[tuple[str, float], ...]
    inked: float
    cut: float


@dataclass(frozen=True, slots=True)
class Areas:
    """How much of everything a run takes, in mm²; decals at true size, bleed not counted.

    Attributes:
        inks: (ink key, area) in the palette's order, after knock-outs.
        process: (process ink, area times coverage) of inks that print as builds; empty without.
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
    process: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class CostLine:
    """What a run takes of one thing, and what that costs.

    Attributes:
        amount: in ``unit``.
        price: for one unit; None: no price given.
    """

    what: str
    amount: float
    unit: str
    price: float | None

    @property
    def cost(self) -> float | None:
        """Amount times price; None without a price."""
        return None if self.price is None else self.amount * self.price


def list_picks(run: SheetRun) -> tuple[PickLine, ...]:
    """The pick list: by order as the sheets name them, then sheet, then decal; spares last."""
    found: dict[tuple[str, int, str], list[tuple[int, str]]] = {}
    for sheet in run.sheets:
        for number, item in enumerate(sheet.items, start=1):
            key = (item.order, sheet.number, item.decal)
            found.setdefault(key, []).append((number, item.placement))
    names = {decal.key: decal.decal.name for decal in run.decals}
    lines = []
    for key in sorted(found, key=lambda key: (key[0] == "", *key)):
        places = tuple(sorted({place for _, place in found[key] if place}))
        numbers = tuple(number for number, _ in found[key])
        lines.append(PickLine(*key, names[key[2]], len(numbers), places, numbers))
    return tuple(lines)


def describe_print(decal: SheetDecal) -> str:
    """What tells a print from others of its decal: its words, its scale, its handedness."""
    said = [decal.decal.key.partition("#")[2]]
    said.append(f"at {decal.scale:.2%}".replace("%", " %") if decal.scale != 1.0 else "")
    said.append("mirrored" if decal.mirrored else "")
    return ", ".join(part for part in said if part)


def measure_decal(decal: SheetDecal) -> DecalAreas:
    """Areas of one copy of a decal, as it prints."""
    artwork = print_artwork(decal)
    inks = tuple(sorted((ink, area.area) for ink, area in showing_inks(artwork)))
    return DecalAreas(inks, sum((area for _, area in inks), 0.0), artwork.outline.area)


def sum_areas(run: SheetRun, measured: Mapping[str, DecalAreas]) -> Areas:
    """Areas of ink, white, varnish, decals and stock of a run.

    Args:
        run: the sheets.
        measured: what ``measure_decal`` finds, by decal key.
    """
    copies = Counter(item.decal for sheet in run.sheets for item in sheet.items)
    inks = dict.fromkeys(run_inks(run), 0.0)
    inked = cut = 0.0
    for decal in run.decals:
        count, areas = copies[decal.key], measured[decal.key]
        for ink, area in areas.inks:
            inks[ink] += count * area
        inked += count * areas.inked
        cut += count * areas.cut
    return Areas(
        tuple(inks.items()),
        inked if run.profile.white else 0.0,
        cut if run.profile.varnish else 0.0,
        cut,
        sum(sheet.width_mm * sheet.height_mm for sheet in run.sheets),
        len(run.sheets),
        _process_areas(run, inks),
    )


def _process_areas(run: SheetRun, inks: dict[str, float]) -> tuple[tuple[str, float], ...]:
    used = [build for build in list_builds(run.palette, run.profile) if build.ink in inks]
    if not used:
        return ()
    totals = [sum(inks[build.ink] * build.cmyk[plate] for build in used) for plate in range(4)]
    return tuple(zip(PROCESS_NAMES, totals, strict=True))


def list_costs(run: SheetRun, areas: Areas) -> tuple[CostLine, ...]:
    """Stock, every ink on its plate, white, varnish and the plates, at the profile's prices."""
    profile, built = run.profile, set()
    if areas.process:
        built = {build.ink for build in list_builds(run.palette, profile)}
    lines = [CostLine(profile.stock, areas.stock / _MM2_PER_M2, "m²", profile.price_stock_m2)]
    plates = [(run.palette.ink(key).name, area) for key, area in areas.inks if key not in built]
    plates += areas.process
    for name, area in plates:
        lines.append(CostLine(name, area / _MM2_PER_M2, "m²", profile.price_ink_m2))
    steps = [
        (profile.white, profile.white_name, areas.white, profile.price_white_m2),
        (profile.varnish, profile.varnish_name, areas.varnish, profile.price_varnish_m2),
    ]
    for wanted, name, area, price in steps:
        if wanted:
            lines.append(CostLine(name, area / _MM2_PER_M2, "m²", price))
            plates.append((name, area))
    return (*lines, CostLine("separations", float(len(plates)), "plates", profile.price_plate))
