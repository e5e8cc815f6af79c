"""What a check looks at: one kit item with its decals in place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

import shapely

from livery.artwork.model import Decal
from livery.geometry import Affine, Area, Path, box_of, lay
from livery.kit.model import KitItem, Surface
from livery.limits.envelope import envelop
from livery.limits.model import Rule


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A decal where it sits on a surface.

    Attributes:
        key: of its placement.
        surface: key of the surface.
        scale: fraction of the decal's nominal size.
        area: polygon that covers it, in the surface's frame.
        bounds: exact (x0, y0, x1, y1) in the surface's frame.
    """

    key: str
    decal: Decal
    surface: str
    scale: float
    area: Area
    bounds: tuple[float, float, float, float]


def set_in_place(key: str, decal: Decal, surface: str, affine: Affine, scale: float) -> Placed:
    """Lay a decal on a surface.

    Args:
        key: of the placement.
        decal: the artwork.
        surface: key of the surface.
        affine: decal frame (nominal mm) to surface frame; holds ``scale`` already.
        scale: fraction of nominal size.
    """
    bounds = box_of(lay(decal.outline, affine))
    return Placed(key, decal, surface, scale, _area(decal.outline, affine), bounds)


@lru_cache(maxsize=1024)  # for both hands, and for every model of one blade
def _area(outline: Path, affine: Affine) -> Area:
    """The area of an outline where it lies."""
    area: Area = shapely.affinity.affine_transform(envelop(outline), affine.for_shapely)
    return area


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """A kit item and the decals on it."""

    item: KitItem
    placed: tuple[Placed, ...]

    @property
    def name(self) -> str:
        """The item as people say it: ``Sedge, short-handle, right hand``."""
        side = f", {self.item.side}" if self.item.side else ""
        return f"{self.item.name}, {self.item.size}{side}, {self.item.hand}-handed"

    def subject(self, placed: Placed) -> str:
        """A decal as people say it."""
        return f"{self.name}, {placed.surface}: {placed.key}"

    def governed(self, rule: Rule) -> list[Placed]:
        """Decals that a rule governs: by role, and by surface when it names any."""
        return [
            placed
            for placed in self.placed
            if governs(rule, placed.surface) and has_role(rule, placed.decal)
        ]

    def by_surface(self, rule: Rule) -> Iterator[tuple[Surface, list[Placed]]]:
        """Each governed surface that carries decals, with them."""
        ordered = sorted(self.governed(rule), key=lambda placed: placed.surface)
        for key, group in groupby(ordered, key=lambda placed: placed.surface):
            yield self.item.surface(key), list(group)


def governs(rule: Rule, surface: str) -> bool:
    """Whether a rule governs a surface; a rule that names none governs all."""
    return not rule.surfaces or surface in rule.surfaces


def has_role(rule: Rule, decal: Decal) -> bool:
    """Whether a rule governs a decal's role; a rule that names none governs all."""
    return not rule.roles or str(decal.role) in rule.roles
