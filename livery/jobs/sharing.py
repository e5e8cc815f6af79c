"""Decals that come again in another task are the ones this process had before.

What is drawn of a decal is kept by the decal itself (its bleed and traps, its paths as written);
a task that comes from another process brings decals that are equal, but not the same.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from livery.artwork.model import Decal
from livery.jobs.fingerprint import Digester
from livery.placement import Layout
from livery.sheet import SheetDecal, SheetRun

T = TypeVar("T", Decal, SheetDecal)

MOST_KNOWN = 128  # workshop choice

_known: dict[str, Decal | SheetDecal] = {}


def known_run(run: SheetRun) -> SheetRun:
    """A run whose decals are the ones had before, where they are equal."""
    return replace(run, decals=tuple(_known_of(decal, decal.decal) for decal in run.decals))


def known_layouts(layouts: tuple[Layout, ...]) -> tuple[Layout, ...]:
    """Layouts whose decals are the ones had before, where they are equal."""
    return tuple(
        replace(
            layout,
            placements=tuple(
                replace(place, decal=_known_of(place.decal, place.decal))
                for place in layout.placements
            ),
        )
        for layout in layouts
    )


def _known_of(value: T, decal: Decal) -> T:
    if decal.texts:
        return value  # an order's own words hardly come again
    if len(_known) >= MOST_KNOWN:
        _known.clear()
    found = _known.setdefault(Digester().digest(value), value)
    return found if isinstance(found, type(value)) else value
