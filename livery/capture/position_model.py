"""Where decals really are on a face, what is wrong with them, and what the rule books say of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from livery.capture.blade_finding import BladeFind
from livery.capture.model import Gate, Target
from livery.capture.rectified import Image, Rectified
from livery.geometry import Affine
from livery.limits import Finding, Severity


class Standing(StrEnum):
    """How a decal was put on."""

    IN_PLACE = "in place"
    MOVED = "moved"
    MISSING = "missing"
    DOUBLED = "doubled"
    UPSIDE_DOWN = "upside down"
    WRONG_HAND = "wrong hand"


class FlawKind(StrEnum):
    """What a place that differs from the artwork looks like."""

    SCRATCH = "scratch"
    LIFTED = "lifted edge"
    BUBBLE = "bubble or mark"


@dataclass(frozen=True, slots=True)
class Flaw:
    """A place on a decal that differs from its artwork.

    Attributes:
        x_mm, y_mm: its middle, in the surface's frame.
        length_mm, area_mm2: its longest extent, and its area.
        strength: largest normalised difference in it, as ``Difference`` has it.
    """

    kind: FlawKind
    x_mm: float
    y_mm: float
    length_mm: float
    area_mm2: float
    strength: float

    @property
    def figures(self) -> str:
        """Its size and place in words."""
        size = f"{self.length_mm:.1f} mm long, {self.area_mm2:.1f} mm²"
        return f"{size}, at {self.x_mm:+.1f}, {self.y_mm:.1f} mm"


@dataclass(frozen=True, slots=True)
class Offset:
    """A decal against its layout, each figure with half the width of its 95 % interval.

    Attributes:
        dx_mm, dy_mm: of its centre in the surface's frame: right, and towards the toe.
        turn_deg: counter-clockwise as seen.
        across, along: its size over that laid out, along its own axes; 1 for as laid out.
        dx_u95, dy_u95: mm.
        turn_u95: degrees.
        across_u95, along_u95: as ``across`` and ``along``.
    """

    dx_mm: float
    dy_mm: float
    turn_deg: float
    across: float
    along: float
    dx_u95: float
    dy_u95: float
    turn_u95: float
    across_u95: float
    along_u95: float

    @property
    def away_mm(self) -> float:
        """Distance of its centre from where it should be."""
        return math.hypot(self.dx_mm, self.dy_mm)


@dataclass(frozen=True, slots=True, eq=False)
class DecalFind:
    """One placement of the layout, as found on the face.

    Attributes:
        key: of the placement.
        name: of the decal.
        expected: the decal's frame to the surface's, as laid out on the bat as measured.
        found: the same as put on, mirrored or upside down too; None when missing.
        offset: None when missing.
        likeness: correlation of picture and artwork, -1 to 1.
        again: others of the same decal, each its frame to the surface's.
        note: in words, what else should be known; "" for nothing.
    """

    key: str
    name: str
    standing: Standing
    expected: Affine
    found: Affine | None
    offset: Offset | None
    likeness: float
    again: tuple[Affine, ...] = ()
    flaws: tuple[Flaw, ...] = ()
    note: str = ""

    @property
    def everywhere(self) -> tuple[Affine, ...]:
        """Each place where this decal lies, its frame to the surface's; none when missing."""
        return (*([self.found] if self.found else []), *self.again)


@dataclass(frozen=True, slots=True, eq=False)
class Difference:
    """A found decal's picture against its artwork, for the difference picture.

    Attributes:
        normalised: difference over what noise and edges explain, in the decal's raster, shape
            (height, width).
        to_target: that raster's pixels to the target's mm.
    """

    normalised: Image
    to_target: Affine


@dataclass(frozen=True, slots=True, eq=False)
class Positions:
    """What a photograph of a face between rails says.

    Attributes:
        photo: the photograph's name.
        item: key of the bat.
        surface: key of the surface that lies between the rails.
        blade: where the face lies; None when it was not found, and then there are no decals.
        findings: rules held against the decals where they are.
        tolerance_mm, tolerance_deg: from where a decal counts as moved.
        notes: in words, what else should be known.
        picture: the face, rectified; None when the target was not found.
        differences: of the decals found, in their order.
        source: SHA-256 of the photograph.
        target: the rails as they lie, where loose strips lie otherwise than printed.
    """

    photo: str
    item: str
    surface: str
    gates: tuple[Gate, ...]
    blade: BladeFind | None
    decals: tuple[DecalFind, ...]
    findings: tuple[Finding, ...]
    tolerance_mm: float
    tolerance_deg: float
    notes: tuple[str, ...] = ()
    picture: Rectified | None = None
    differences: tuple[Difference, ...] = ()
    source: str = ""
    target: Target | None = None

    @property
    def broken(self) -> tuple[Finding, ...]:
        """Limits that are broken by the decals where they are."""
        return tuple(f for f in self.findings if not f.ok and f.severity is Severity.LIMIT)

    @property
    def ok(self) -> bool:
        """Whether the photograph is evidence, every decal in place and whole, every limit held."""
        well = all(d.standing is Standing.IN_PLACE and not d.flaws for d in self.decals)
        return well and bool(self.blade) and all(g.ok for g in self.gates) and not self.broken
