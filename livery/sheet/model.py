"""What goes to the printer: which decal stands where on which sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from livery.artwork.model import Decal
from livery.geometry import Affine
from livery.scheme.model import Palette, PrintProfile

Watch = Callable[[str, int, int], None]
"""Told the stage, how much of it is done, and how much there is."""


def unwatched(stage: str, done: int, total: int) -> None:
    """Nobody is looking."""


@dataclass(frozen=True, slots=True, eq=False)
class SheetDecal:
    """A distinct printed thing: one decal at one scale and handedness.

    Attributes:
        key: unique over the season; equal key means equal print.
    """

    key: str
    decal: Decal
    scale: float
    mirrored: bool


@dataclass(frozen=True, slots=True)
class SheetItem:
    """One copy on a sheet.

    Attributes:
        decal: key of its SheetDecal.
        affine: decal frame (nominal mm, y down) to sheet (mm, origin bottom-left, y up).
        order: order it belongs to, or "" for a spare.
        kit: the one kit item it goes on, or "" for a spare.
    """

    decal: str
    affine: Affine
    order: str
    placement: str
    kit: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """One sheet of stock."""

    number: int
    of: int
    width_mm: float
    height_mm: float
    items: tuple[SheetItem, ...]


@dataclass(frozen=True, slots=True, eq=False)
class SheetRun:
    """All sheets of a season.

    Attributes:
        content_hash: SHA-256 over everything that decides what prints.
        density: area of decals over usable area of the sheets, 0..1.
        notes: what the reader of the run must know (no orders, a kit that was split).
        placements: those that a search found, as text to keep for a later run; else "".
    """

    sheets: tuple[Sheet, ...]
    decals: tuple[SheetDecal, ...]
    palette: Palette
    profile: PrintProfile
    season: str
    revision: int
    date: str
    content_hash: str
    density: float
    workshop: str = ""
    notes: tuple[str, ...] = ()
    placements: str = ""


@dataclass(frozen=True, slots=True)
class Nesting:
    """How decals are nested.

    Attributes:
        kits_together: keep all decals of one kit item side by side.
        search_seconds: whole seconds for each attempt of a denser search; 0 does without. The
            search differs between machines, so keep its placements.
        seed: of that search.
        kept: placements of an earlier run, as text; used when for these very silhouettes.
        effort: times the usual counted work for a denser nesting; the same on every machine.
    """

    kits_together: bool = False
    search_seconds: int = 0
    seed: int = 0
    kept: str = ""
    effort: int = 1
