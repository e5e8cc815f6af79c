"""Where a season stands: what is agreed, what waits, what failed; and its kit as a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from livery.colour import illuminant, lab_to_srgb8, spectrum_to_xyz, xyz_to_lab
from livery.errors import ColourError
from livery.jobs.signing import ProofStatus, list_statuses
from livery.jobs.survey import Survey
from livery.records.history import read_newest
from livery.records.store import Store
from livery.scheme.model import Ink, ItemKind, Scheme

_MOST_SIZES = 4  # named one by one [source: workshop-choice]

LIGHTS = (
    ("D50", "print viewing, D50"),
    ("D65", "daylight, D65"),
    ("A", "filament lamp, A"),
    ("FL11", "shop tube, FL11"),
    ("LED-B4", "LED floodlight, LED-B4"),
)


@dataclass(frozen=True, slots=True)
class BatProgress:
    """One order: its proof, and what its photographs said.

    Attributes:
        captures: how many are kept.
        last: the worst verdict of the newest capture; "" when there is none.
    """

    status: ProofStatus
    captures: int
    last: str


@dataclass(frozen=True, slots=True)
class Progress:
    """The season at a glance."""

    bats: tuple[BatProgress, ...]
    waiting: tuple[str, ...]
    failed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Swatch:
    """An ink as a screen can show it under a light.

    Attributes:
        rgb: ``#rrggbb``.
        lab: its aim, D50/2°.
        under: its CIELAB under the light chosen, against that light's white.
        known: false when no spectrum is known, so that it is shown under D50 whatever the light.
    """

    key: str
    name: str
    rgb: str
    lab: tuple[float, float, float]
    under: tuple[float, float, float]
    tolerance: float
    finish: str
    known: bool


@dataclass(frozen=True, slots=True)
class KitRow:
    """One item of the season: its name, sizes, and how it carries each ink, in palette order."""

    name: str
    kind: str
    sizes: str
    uses: tuple[str, ...]


def find_progress(found: Survey, store: Store) -> Progress:
    """How far the season is."""
    newest = read_newest(store)
    bats, waiting, failed = [], [], []
    for status in list_statuses(found, store):
        captures, outcome = newest.get(status.order, (0, None))
        last = outcome.verdict if outcome is not None else ""
        bats.append(BatProgress(status, captures, last))
        name = f"{status.order}, {status.player}"
        match status.state:
            case "drafted":
                waiting.append(f"{name}: the proof is not offered yet")
            case "offered":
                waiting.append(f"{name}: waits for {status.asked or status.player} to answer")
            case "declined":
                failed.append(f"{name}: {status.by} declined the proof: {status.reason}")
            case "overtaken":
                waiting.append(f"{name}: the proof was overtaken by a change; raise the revision")
            case _ if not captures:
                waiting.append(f"{name}: agreed, and not photographed yet")
        if last in ("fail", "re-shoot"):
            told = "does not match" if last == "fail" else "must be photographed again"
            failed.append(f"{name}: the newest photograph {told}")
    failed += [f"{f.subject}: {f.text}" for f in found.broken]
    return Progress(tuple(bats), tuple(waiting), tuple(failed))


def list_swatches(scheme: Scheme, light: str) -> tuple[Swatch, ...]:
    """Every ink as seen under a light, where its spectrum is known."""
    return tuple(_swatch(ink, light) for ink in scheme.palette.inks)


def list_kit(found: Survey) -> tuple[KitRow, ...]:
    """What carries which ink: bats by their decals, gloves and pads by panels and decals."""
    scheme = found.scheme
    sizes: dict[str, tuple[str, ItemKind, tuple[str, ...]]] = {
        bat.key: (bat.name, ItemKind.BAT, bat.sizes) for bat in scheme.bats
    }
    sizes |= {soft.key: (soft.name, soft.kind, soft.sizes) for soft in scheme.soft_kit}
    rows = []
    for key, (name, kind, own) in sizes.items():
        layouts = [one for one in found.of_range if one.item.key == key]
        decals = {ink for one in layouts for p in one.placements for ink in p.decal.inks}
        panels = {panel.ink for one in layouts for panel in one.item.panels}
        uses = tuple(_use(ink.key in decals, ink.key in panels) for ink in scheme.palette.inks)
        rows.append(KitRow(name, kind.value, _size_words(own), uses))
    return tuple(rows)


def _size_words(sizes: Sequence[str]) -> str:
    """Sizes as people say them; of many, how many and from which to which."""
    names = [size.replace("-", " ") for size in sizes]
    if len(names) <= _MOST_SIZES:
        return ", ".join(names)
    return f"{len(names)} sizes, {names[0]} to {names[-1]}"


def _use(decal: bool, panel: bool) -> str:
    return " and ".join(word for word, there in (("decals", decal), ("panels", panel)) if there)


def _swatch(ink: Ink, light: str) -> Swatch:
    lab = np.asarray(ink.lab, dtype=np.float64)
    under, known = lab, False
    if ink.spectrum is not None:
        try:
            lamp = illuminant(light)
            wavelengths, factor = ink.spectrum.wavelengths_nm, ink.spectrum.reflectance
            under = xyz_to_lab(spectrum_to_xyz(wavelengths, factor, lamp), lamp.white)
            known = True
        except ColourError:
            under = lab
    red, green, blue = (int(v) for v in lab_to_srgb8(under))
    return Swatch(
        ink.key,
        ink.name,
        f"#{red:02x}{green:02x}{blue:02x}",
        ink.lab,
        (float(under[0]), float(under[1]), float(under[2])),
        ink.tolerance_de00,
        ink.finish.value,
        known,
    )
