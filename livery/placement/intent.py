"""The designer's intent for what moves as one: where it lands before any limit is looked at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from livery.artwork.model import Decal
from livery.geometry import Affine
from livery.kit.model import Surface

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Fit:
    """A scale (fraction of nominal size) and a move along y, mm."""

    scale: float
    slide_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One decal of what moves as one.

    Attributes:
        key: of its placement.
        turn: the decal's frame turned (and reflected) as placed, to the intent's frame, at
            nominal size.
        mirrored: whether the artwork is reflected.
    """

    key: str
    decal: Decal
    turn: Affine
    mirrored: bool = False

    @property
    def box(self) -> Box:
        """Exact (x0, y0, x1, y1) in the intent's frame at nominal size, mm."""
        return _box_of(self)


@lru_cache(maxsize=1024)
def _box_of(part: Part) -> Box:
    return part.decal.outline.transformed(part.turn).bounds()


@dataclass(frozen=True, slots=True)
class Link:
    """What an intent's origin is tied to: a point of another intent, which moves with its size.

    Attributes:
        to: key of the other intent.
        at: the point in its frame at nominal size, mm.
    """

    to: str
    at: Point


@dataclass(frozen=True, slots=True, eq=False)
class Intent:
    """A placement, or a group of them, graded to one item, with what it may do there.

    Its frame's origin stays where it is while the intent grows and shrinks about it.

    Attributes:
        key: of the placement or group.
        parts: one decal, or those of a group.
        surface: the surface it lands on (its mirror image's, where mirrored).
        x_mm, y_mm: of the origin, in the surface's frame; from the linked point, if linked.
        scale: graded fraction of nominal size.
        least_scale: smallest allowed.
        slide_mm: largest allowed move along y, either way.
        link: to the intent it is aligned to, or None.
    """

    key: str
    parts: tuple[Part, ...]
    surface: Surface
    x_mm: float
    y_mm: float
    scale: float
    least_scale: float
    slide_mm: float
    link: Link | None = None

    @property
    def origin(self) -> Point:
        """(x, y) of its frame's origin, mm; of one that is linked, from the linked point."""
        return self.x_mm, self.y_mm

    @property
    def box(self) -> Box:
        """Exact (x0, y0, x1, y1) of all parts about the origin at nominal size, mm."""
        return joint_box([part.box for part in self.parts])

    @property
    def width_mm(self) -> float:
        """Of all parts, as placed, at nominal size."""
        x0, _, x1, _ = self.box
        return x1 - x0

    def affine(self, part: Part, fit: Fit) -> Affine:
        """A part's decal frame to the surface's frame; a linked intent must be settled."""
        moved = Affine.translation(self.x_mm, self.y_mm + fit.slide_mm)
        return moved @ Affine.scaling(fit.scale) @ part.turn


Settled = tuple[Intent, Fit]
"""An intent without a link, and its fit."""


def settle(intent: Intent, settled: Mapping[str, Settled]) -> Intent:
    """Turn a link into a position, once what it is tied to has one.

    Args:
        intent: linked or not.
        settled: what has a position, by key.

    Raises:
        KeyError: what it is linked to has no position yet.
    """
    if intent.link is None:
        return intent
    target, fit = settled[intent.link.to]
    u, v = intent.link.at
    x = target.x_mm + fit.scale * u + intent.x_mm
    y = target.y_mm + fit.slide_mm + fit.scale * v + intent.y_mm
    return replace(intent, x_mm=x, y_mm=y, link=None)


def joint_box(boxes: list[Box]) -> Box:
    """The box about boxes."""
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return min(x0), min(y0), max(x1), max(y1)
