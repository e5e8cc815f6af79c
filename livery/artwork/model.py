"""Decals: exact artwork by ink, in mm at nominal size.

A decal's frame: origin at the middle of its outline's bounding box, x right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass

from livery.geometry import Path


@dataclass(frozen=True, slots=True, eq=False)
class InkRegion:
    """What one ink covers. Regions are in painter's order: a later one knocks out those before.

    Attributes:
        text_height_mm: x-height's cap height of the smallest lettering in it, or None.
        thinnest_mm: thinnest stroke that was widened to this region, or None.
    """

    ink: str
    path: Path
    text_height_mm: float | None = None
    thinnest_mm: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Decal:
    """Artwork with its inks resolved and its text turned into outlines.

    Attributes:
        key: the season's decal key; variable text adds its words (``name#A. Orrowby``).
        outline: the cut line, at nominal size.
        texts: (field, words) as set.
    """

    key: str
    name: str
    regions: tuple[InkRegion, ...]
    outline: Path
    width_mm: float
    height_mm: float
    thickness_mm: float
    role: str
    may_mirror: bool
    texts: tuple[tuple[str, str], ...] = ()

    @property
    def inks(self) -> tuple[str, ...]:
        """Keys of its inks, in painter's order, each once."""
        return tuple(dict.fromkeys(region.ink for region in self.regions))
