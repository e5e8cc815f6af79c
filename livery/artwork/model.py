"""Decals: exact artwork by ink, in mm at nominal size.

A decal's frame: origin at the middle of its outline's bounding box, x right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath

from livery.drawing import Anchor
from livery.geometry import Affine, Path


@dataclass(frozen=True, slots=True, eq=False)
class InkRegion:
    """What one ink covers. Regions are in painter's order: a later one knocks out those before.

    Attributes:
        text_height_mm: cap height of the smallest lettering in it, or None.
        thinnest_mm: thinnest stroke that was widened to this region, or None.
        closed: false for a fill whose path the file leaves open; filling closed it.
    """

    ink: str
    path: Path
    text_height_mm: float | None = None
    thinnest_mm: float | None = None
    closed: bool = True


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
    def smallest_text_mm(self) -> float | None:
        """Height of its smallest capitals at nominal size, or None without lettering."""
        heights = [r.text_height_mm for r in self.regions if r.text_height_mm is not None]
        return min(heights, default=None)

    @property
    def thinnest_line_mm(self) -> float | None:
        """Width of its thinnest line at nominal size, or None without lines."""
        return min((r.thinnest_mm for r in self.regions if r.thinnest_mm is not None), default=None)

    @property
    def inks(self) -> tuple[str, ...]:
        """Keys of its inks, in painter's order, each once."""
        return tuple(dict.fromkeys(region.ink for region in self.regions))


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """A shape of an artwork file in one ink, in the file's mm (y down).

    Attributes:
        thinnest_mm: width of the stroke that was widened to it, or None for a fill.
        place, line: where it stands in the file, for messages.
        closed: false for a fill whose path the file leaves open.
    """

    ink: str
    path: Path
    thinnest_mm: float | None
    place: str
    line: int | None
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Lettering:
    """A line of text of an artwork file, not yet set.

    Attributes:
        field: the variable it shows, or "" for the words in the file.
        words: the words in the file: fixed, or a sample.
        size: font size in user units.
        affine: from the baseline's start, x right, y up, to the file's mm.
        fit_mm: the widest it may be in the file's mm, or None.
        upper: set in capitals.
    """

    field: str
    words: str
    ink: str
    font: str
    size: float
    anchor: Anchor
    affine: Affine
    fit_mm: float | None
    upper: bool
    place: str
    line: int | None


@dataclass(frozen=True, slots=True, eq=False)
class Artwork:
    """An artwork file as drawn, before inks are looked up and words are set.

    Attributes:
        items: in painter's order.
        outline: the cut line, in the file's mm.
    """

    file: FilePath
    items: tuple[Drawn | Lettering, ...]
    outline: Path

    @property
    def fields(self) -> tuple[str, ...]:
        """Names of its variable texts, each once."""
        named = [i.field for i in self.items if isinstance(i, Lettering) and i.field]
        return tuple(dict.fromkeys(named))
