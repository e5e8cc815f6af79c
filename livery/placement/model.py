"""Where each decal sits."""

from __future__ import annotations

from dataclasses import dataclass

from livery.artwork.model import Decal
from livery.geometry import Affine, Path, box_of, lay
from livery.kit.model import KitItem
from livery.limits.model import Finding


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """A decal on a surface.

    Attributes:
        key: the season's placement key.
        surface: key of the surface.
        affine: decal frame (nominal mm) to surface frame.
        scale: fraction of the decal's nominal size.
        mirrored: whether the artwork is reflected.
    """

    key: str
    decal: Decal
    surface: str
    affine: Affine
    scale: float
    mirrored: bool = False

    @property
    def outline(self) -> Path:
        """Its outline in the surface's frame, mm."""
        return lay(self.decal.outline, self.affine)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Exact (x0, y0, x1, y1) of its outline in the surface's frame, mm."""
        return box_of(self.outline)


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """All placements on one kit item in one size and hand, for one order or for the range.

    Attributes:
        order: the order's key, or "" for the season's range.
        copies: how many such items are made.
        findings: every rule checked, held or broken.
    """

    item: KitItem
    placements: tuple[Placement, ...]
    findings: tuple[Finding, ...]
    order: str = ""
    player: str = ""
    copies: int = 1
