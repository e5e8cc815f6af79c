"""What holds one decal in place: the rules in force, as geometry that a fit can solve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from livery.artwork.model import Decal
from livery.geometry import Area
from livery.kit.model import Surface
from livery.limits import Check, Placed, Rule, RuleBook, Severity, envelop
from livery.limits.checks_area import zones_named
from livery.limits.distances import depth_inside, distance_clear
from livery.limits.scene import governs, has_role
from livery.limits.values import number
from livery.placement.intent import Intent, Part
from livery.placement.sides import segments_of
from livery.placement.slides import SLACK_MM

_FAR_MM = 1e4  # farther than any decal lies from its surface [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """A boundary to stay ``gap_mm`` away from, inside or outside ``area``.

    Attributes:
        rule: book and key.
        part: index of the part it holds.
        segments: the boundary's, shape (n, 2 ends, 2), mm.
    """

    rule: str
    part: int
    area: Area
    segments: NDArray[np.float64]
    gap_mm: float
    inside: bool

    @property
    def kept_out(self) -> list[Polygon]:
        """What a decal may not lie over: the area's parts, or the holes of one to stay inside."""
        parts = list(shapely.get_parts(self.area))
        if not self.inside:
            return parts
        return [Polygon(hole) for part in parts for hole in part.interiors]

    @property
    def wrong_side(self) -> BaseGeometry:
        """Where no point of a decal may lie, as far as any decal reaches."""
        if not self.inside:
            return self.area
        x0, y0, x1, y1 = self.area.bounds
        far = shapely.box(x0 - _FAR_MM, y0 - _FAR_MM, x1 + _FAR_MM, y1 + _FAR_MM)
        return far.difference(self.area)

    def shortage_mm(self, area: Area) -> float:
        """How far an area breaks this wall; 0 or less holds."""
        measure = depth_inside if self.inside else distance_clear
        return self.gap_mm - measure(area, self.area)


@dataclass(frozen=True, slots=True)
class Edge:
    """A line across the surface that a part's near (or far) end may not pass.

    Attributes:
        part: index of the part it holds.
        y_mm: of the line, in the surface's frame.
        near: whether it holds the end nearer the handle.
    """

    rule: str
    part: int
    y_mm: float
    near: bool


@dataclass(frozen=True, slots=True)
class Spacing:
    """The gap that two decals of a group must keep, and how far apart they are at nominal size.

    Attributes:
        apart_mm: at nominal size; negative by how deep they overlap.
    """

    rule: str
    gap_mm: float
    apart_mm: float

    @property
    def least_scale(self) -> float:
        """The smallest scale that keeps the gap; infinite where none does."""
        if self.gap_mm <= SLACK_MM and self.apart_mm >= -SLACK_MM:
            return 0.0
        return (self.gap_mm - SLACK_MM) / self.apart_mm if self.apart_mm > 0.0 else np.inf


@dataclass(frozen=True, slots=True, eq=False)
class Bounds:
    """Everything that holds what moves as one.

    Attributes:
        spacings: within a group.
        least_scales, greatest_scales: (rule, fraction of nominal size).
    """

    edges: tuple[Edge, ...]
    walls: tuple[Wall, ...]
    spacings: tuple[Spacing, ...]
    least_scales: tuple[tuple[str, float], ...]
    greatest_scales: tuple[tuple[str, float], ...]


def gather_bounds(
    intent: Intent, books: Sequence[RuleBook], neighbours: Sequence[Placed]
) -> Bounds:
    """The limits in force on an intent, from all books at once.

    Args:
        intent: a decal or group as graded.
        books: rule books; only rules of severity ``limit`` bind.
        neighbours: decals already in place on the surface.
    """
    edges: list[Edge] = []
    walls: list[Wall] = []
    least: list[tuple[str, float]] = []
    greatest: list[tuple[str, float]] = []
    for index, part in enumerate(intent.parts):
        for name, rule in binding(books, part.decal, intent.surface):
            edges += _edges(name, rule, intent.surface, index)
            walls += _walls(name, rule, intent.surface, neighbours, index)
            least += _least(name, rule, part.decal)
            if rule.check == Check.AREA_AT_MOST and rule.parameters.get("per", "decal") == "decal":
                nominal = envelop(part.decal.outline).area
                greatest.append((name, float(np.sqrt(number(rule, "area") / nominal))))
    spacings = tuple(_spacings(intent, books))
    return Bounds(tuple(edges), tuple(walls), spacings, tuple(least), tuple(greatest))


def binding(
    books: Sequence[RuleBook], decal: Decal, surface: Surface
) -> Iterator[tuple[str, Rule]]:
    """Rules of severity ``limit`` that govern a decal on a surface, each as (book/key, rule)."""
    for book in books:
        for rule in book.rules:
            governed = has_role(rule, decal) and governs(rule, surface.key)
            if rule.severity is Severity.LIMIT and governed:
                yield f"{book.key}/{rule.key}", rule


def gap_between(
    books: Sequence[RuleBook], one: Decal, other: Decal, surface: Surface
) -> tuple[str, float] | None:
    """(rule, mm) of the widest gap that two decals on a surface must keep; None where none."""
    gaps = [
        (name, number(rule, "gap"))
        for name, rule in binding(books, one, surface)
        if rule.check == Check.GAP_AT_LEAST and has_role(rule, other)
    ]
    return max(gaps, key=lambda gap: gap[1], default=None)


def _spacings(intent: Intent, books: Sequence[RuleBook]) -> Iterator[Spacing]:
    for one, other in combinations(intent.parts, 2):
        gap = gap_between(books, one.decal, other.decal, intent.surface)
        if gap is not None:
            yield Spacing(*gap, distance_clear(area_of(one), area_of(other)))


def area_of(part: Part) -> Area:
    """A part's envelope in its intent's frame, at nominal size."""
    area: Area = shapely.affinity.affine_transform(
        envelop(part.decal.outline), part.turn.for_shapely
    )
    return area


def _edges(name: str, rule: Rule, surface: Surface, part: int) -> list[Edge]:
    datums = {datum.name: datum.y_mm for datum in surface.datums}
    datum = rule.parameters.get("datum")
    if datum not in datums:
        return []
    y = datums[str(datum)]
    match rule.check:
        case Check.CONFINED_WITHIN:
            return [Edge(name, part, y + number(rule, "within"), near=False)]
        case Check.BEYOND_AT_LEAST:
            return [Edge(name, part, y + number(rule, "gap"), near=True)]
        case Check.SHORT_AT_LEAST:
            return [Edge(name, part, y - number(rule, "gap"), near=False)]
    return []


def _walls(
    name: str, rule: Rule, surface: Surface, neighbours: Sequence[Placed], part: int
) -> list[Wall]:
    match rule.check:
        case Check.INSIDE_SURFACE:
            return [_wall(name, part, surface.outline, number(rule, "gap"), inside=True)]
        case Check.CLEAR_OF_ZONE:
            return [
                _wall(name, part, zone.area, number(rule, "gap"), inside=False)
                for zone in zones_named(surface, rule)
            ]
        case Check.CLEAR_OF_BAND:
            named = any(datum.name == rule.parameters["datum"] for datum in surface.datums)
            return [_band_wall(name, rule, surface, part)] if named else []
        case Check.GAP_AT_LEAST:
            others = [one for one in neighbours if has_role(rule, one.decal)]
            return [
                _wall(name, part, one.area, number(rule, "gap"), inside=False) for one in others
            ]
    return []


def _band_wall(name: str, rule: Rule, surface: Surface, part: int) -> Wall:
    x0, _, x1, _ = surface.outline.bounds
    toe = surface.datum(str(rule.parameters["datum"])).y_mm
    reach = 10.0 * (x1 - x0)  # far wider than any decal on it [source: workshop-choice]
    band = shapely.box(
        x0 - reach, toe - number(rule, "far"), x1 + reach, toe - number(rule, "near")
    )
    return _wall(name, part, band, 0.0, inside=False)


def _wall(name: str, part: int, area: Area, gap_mm: float, *, inside: bool) -> Wall:
    shapely.prepare(area)  # asked again and again whether it holds a point
    return Wall(name, part, area, segments_of(area), gap_mm, inside)


def _least(name: str, rule: Rule, decal: Decal) -> list[tuple[str, float]]:
    match rule.check:
        case Check.TEXT_HEIGHT_AT_LEAST:
            least, nominal = number(rule, "height"), decal.smallest_text_mm
        case Check.LINE_WIDTH_AT_LEAST:
            least, nominal = number(rule, "width"), decal.thinnest_line_mm
        case _:
            return []
    return [(name, least / nominal)] if nominal else []
