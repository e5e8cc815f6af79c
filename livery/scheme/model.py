"""What a season says, as values. Lengths mm, colours CIELAB D50/2° under M1."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.drawing import LabColour
from livery.scheme.kit_model import SURFACES as SURFACES
from livery.scheme.kit_model import BatModel as BatModel
from livery.scheme.kit_model import BladeDims as BladeDims
from livery.scheme.kit_model import ItemKind as ItemKind
from livery.scheme.kit_model import Panel as Panel
from livery.scheme.kit_model import SoftKit as SoftKit
from livery.scheme.kit_model import SoftSize as SoftSize
from livery.scheme.print_model import CutterMark as CutterMark
from livery.scheme.print_model import PrintProfile as PrintProfile
from livery.scheme.print_model import ThroughCut as ThroughCut

TEXT_FIELDS = ("player", "size", "weight", "model", "number", "hand")
"""What a decal's words may ask of an order, as ``{player}``."""


class Finish(StrEnum):
    """How an ink's surface throws light back; tolerances may differ by finish."""

    MATT = "matt"
    SATIN = "satin"
    GLOSS = "gloss"
    METALLIC = "metallic"


class Hand(StrEnum):
    """The batter's hand."""

    RIGHT = "right"
    LEFT = "left"


class Prints(StrEnum):
    """How an ink is printed."""

    SPOT = "spot"  # its own separation
    PROCESS = "process"  # a build of the four process inks


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """Reflectance factor (0..1, may exceed 1 for fluorescent) at even wavelengths in nm."""

    wavelengths_nm: NDArray[np.float64]
    reflectance: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Ink:
    """One colour of the season.

    Attributes:
        key: name used in artwork (``data-ink``) and the season.
        name: as people say it; also the plate's name.
        lab: the aim, solid on its stock, D50/2°, M1.
        spectrum: reflectance of the aim, where known.
        tolerance_de00: largest ΔE00 that still matches.
        prints: as its own separation, or as a build of process inks.
    """

    key: str
    name: str
    lab: LabColour
    finish: Finish
    tolerance_de00: float
    spectrum: Spectrum | None = None
    prints: Prints = Prints.SPOT


@dataclass(frozen=True, slots=True, eq=False)
class Palette:
    """The season's inks.

    Attributes:
        source: where the numbers come from ("invented for the demo" is a source too).
    """

    key: str
    name: str
    inks: tuple[Ink, ...]
    source: str

    def ink(self, key: str) -> Ink:
        """The ink of that key.

        Raises:
            KeyError: no such ink.
        """
        for ink in self.inks:
            if ink.key == key:
                return ink
        raise KeyError(key)

    @property
    def keys(self) -> frozenset[str]:
        """Keys of all inks."""
        return frozenset(ink.key for ink in self.inks)

    @property
    def names(self) -> dict[str, str]:
        """Names of all inks by key, in order."""
        return {ink.key: ink.name for ink in self.inks}


class Role(StrEnum):
    """What a decal is, to a rule book."""

    IDENTIFICATION = "identification"  # a commercial identification in the Laws' sense
    DECORATION = "decoration"
    LETTERING = "lettering"  # the player's name, size, weight


@dataclass(frozen=True, slots=True)
class DecalSpec:
    """A decal as the season names it.

    Attributes:
        artwork: the SVG file.
        width_mm: nominal width.
        thickness_mm: film, adhesive and laminate together.
        text: (field, template) pairs for variable text; a template may hold {player}, {size},
            {weight}, {model}, {number}.
        may_mirror: false for lettering and one-way marks.
    """

    key: str
    name: str
    artwork: Path
    width_mm: float
    role: Role
    thickness_mm: float
    text: tuple[tuple[str, str], ...] = ()
    may_mirror: bool = False
    min_scale: float = 1.0
    quantity_spare: int = 0


class Along(StrEnum):
    """From where a placement's y offset is measured."""

    DATUM = "datum"  # bottom of the grip on a bat; the surface's origin elsewhere
    SHOULDER = "shoulder"  # where full width is first reached
    TOE = "toe"  # the surface's far end, measured back
    MIDDLE = "middle"  # middle of the surface's length


class ScalesWith(StrEnum):
    """What a placement grows and shrinks with from the master size."""

    NOTHING = "nothing"
    WIDTH = "width"
    LENGTH = "length"


class Side(StrEnum):
    """Where a decal lies by what it is aligned to, as seen; ``above`` is nearer the handle."""

    ON = "on"
    ABOVE = "above"
    BELOW = "below"
    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Alignment:
    """What a decal keeps to on every size, in place of a stated offset along one axis.

    Attributes:
        to: a line of the surface (``centre-line``, ``shoulder-line``, ``middle``, ``toe-line``),
            or the key of another placement on it.
        side: where the decal lies; ``on`` puts its centre on a line.
        gap_mm: from the line, or from the other decal's box, to the decal's box; it does not
            grow or shrink with the size.
    """

    to: str
    side: Side
    gap_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class GroupSpec:
    """Placements that grow, shrink and slide as one drawing, and so keep their spacing.

    Attributes:
        placements: keys, all on one surface of one item, measured and scaled alike.
        may_shrink_to, may_slide_mm: as of a placement, for the group as a whole.
    """

    key: str
    placements: tuple[str, ...]
    may_shrink_to: float = 1.0
    may_slide_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class PlacementSpec:
    """Where the designer wants a decal, on the master size.

    Attributes:
        item: key of a bat model, glove or pad.
        surface: e.g. ``face``, ``back``, ``edge-left``, ``glove-back``.
        along: what y_mm is measured from; y_mm runs towards the toe, from the toe backwards.
        x_mm: of the decal's centre from the centre line, positive right.
        y_mm: of the decal's centre.
        rotation_deg: counter-clockwise as seen.
        may_shrink_to: smallest allowed fraction of the scaled width; 1 forbids shrinking.
        may_slide_mm: how far the centre may move along y, either way, to meet limits; 0 forbids.
        mirror_for_left: reflect the position (and the artwork, if it may) for a left-hander.
        align: what sets one axis instead. Aligned to another decal, the offset along the other
            axis is measured from that decal's centre.
    """

    key: str
    decal: str
    item: str
    surface: str
    along: Along
    x_mm: float
    y_mm: float
    rotation_deg: float = 0.0
    scales_with: ScalesWith = ScalesWith.NOTHING
    may_shrink_to: float = 1.0
    may_slide_mm: float = 0.0
    mirror_for_left: bool = False
    align: Alignment | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """One player's kit.

    Attributes:
        quantity: bats made alike for this player.
        weight_g: finished weight asked for, or None.
        items: (item key, size) pairs; each is a bat model, a pair of gloves or a pair of pads.
    """

    key: str
    player: str
    hand: Hand
    items: tuple[tuple[str, str], ...]
    quantity: int = 1
    weight_g: float | None = None
    number: str = ""


@dataclass(frozen=True, slots=True)
class PairTolerance:
    """A tolerance between two things: item keys, kinds of kit or materials.

    Attributes:
        ink: the ink it holds for, or "" for every ink.
    """

    between: tuple[str, str]
    tolerance_de00: float
    ink: str = ""


@dataclass(frozen=True, slots=True)
class Tolerances:
    """The season's own tolerances, ΔE00, over those of the palette.

    Attributes:
        default: for inks that neither the palette nor ``inks`` names.
        inks: (ink key, tolerance) pairs.
        finishes: (finish, tolerance) pairs; an ink's own outranks its finish's.
        pairs: the first that fits a pair of items outranks its ink's tolerance.
    """

    default: float = 2.0
    inks: tuple[tuple[str, float], ...] = ()
    pairs: tuple[PairTolerance, ...] = ()
    finishes: tuple[tuple[Finish, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Extra:
    """What must match and is not laid out: a shirt, a helmet, a bag, a grip.

    Attributes:
        inks: keys of the palette's inks that it shows.
    """

    key: str
    name: str
    kind: str
    material: str
    inks: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Scheme:
    """A season, read and found consistent.

    Attributes:
        path: the season file; relative paths inside it were resolved against its folder.
        master_size: the bat size that placements are stated on.
        rule_books: keys or paths of the books in force, in order.
        date: ISO date given by the user, or "".
    """

    path: Path
    name: str
    workshop: str
    revision: int
    date: str
    note: str
    palette: Palette
    bats: tuple[BatModel, ...]
    soft_kit: tuple[SoftKit, ...]
    decals: tuple[DecalSpec, ...]
    placements: tuple[PlacementSpec, ...]
    orders: tuple[Order, ...]
    profile: PrintProfile
    master_size: str
    rule_books: tuple[str, ...]
    digests: tuple[tuple[str, str], ...] = ()  # (file, SHA-256) of everything read
    tolerances: Tolerances = Tolerances()
    extras: tuple[Extra, ...] = ()
    groups: tuple[GroupSpec, ...] = ()

    def order(self, key: str) -> Order | None:
        """The order of that key, if the season has one."""
        return next((one for one in self.orders if one.key == key), None)

    @property
    def models(self) -> tuple[BatModel | SoftKit, ...]:
        """Bats, then gloves and pads, in the season's order."""
        return (*self.bats, *self.soft_kit)

    @property
    def item_titles(self) -> dict[str, str]:
        """What to call bats, gloves, pads and extras, by key; a shared name is told by its key."""
        items: tuple[BatModel | SoftKit | Extra, ...] = (*self.models, *self.extras)
        names = Counter(item.name for item in items)
        return {
            item.key: item.name if names[item.name] == 1 else f"{item.name} ({item.key})"
            for item in items
        }
