"""What holds one decal in place: the rules in force, as geometry that a fit can solve."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from livery.kit.model import Surface
from livery.limits import Check, Placed, Rule, RuleBook, Severity
from livery.limits.distances import depth_inside, distance_clear
from livery.limits.scene import governs, has_role
from livery.placement.intent import Intent

Area = Polygon | MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """A boundary to stay ``gap_mm`` away from, inside or outside ``area``.

    Attributes:
        segments: the boundary's, shape (n, 2 ends, 2).
    """

    rule: str
    area: Area
    segments: NDArray[np.float64]
    gap_mm: float
    inside: bool

    def shortage_mm(self, area: Area) -> float:
        """How far an area breaks this wall; 0 or less holds."""
        measure = depth_inside if self.inside else distance_clear
        return self.gap_mm - measure(area, self.area)


@dataclass(frozen=True, slots=True)
class Edge:
    """A line across the surface that the decal's near (or far) end may not pass."""

    rule: str
    y_mm: float
    near: bool


@dataclass(frozen=True, slots=True, eq=False)
class Bounds:
    """Everything that holds one decal.

    Attributes:
        least_scales, greatest_scales: (rule, fraction of nominal size).
    """

    edges: tuple[Edge, ...]
    walls: tuple[Wall, ...]
    least_scales: tuple[tuple[str, float], ...]
    greatest_scales: tuple[tuple[str, float], ...]


def gather_bounds(
    intent: Intent, books: Sequence[RuleBook], neighbours: Sequence[Placed]
) -> Bounds:
    """The limits in force on one decal, from all books at once.

    Args:
        intent: the decal as graded.
        books: rule books; only rules of severity ``limit`` bind.
        neighbours: decals already in place on the surface.
    """
    edges: list[Edge] = []
    walls: list[Wall] = []
    least: list[tuple[str, float]] = []
    greatest: list[tuple[str, float]] = []
    for name, rule in _binding(intent, books):
        edges += _edges(name, rule, intent.surface)
        walls += _walls(name, rule, intent.surface, neighbours)
        least += _least(name, rule, intent)
        if rule.check == Check.AREA_AT_MOST and rule.parameters.get("per", "decal") == "decal":
            nominal = intent.decal.outline.polygon(0.001).area
            greatest.append((name, float(np.sqrt(_number(rule, "area") / nominal))))
    return Bounds(tuple(edges), tuple(walls), tuple(least), tuple(greatest))


def _binding(intent: Intent, books: Sequence[RuleBook]) -> Iterable[tuple[str, Rule]]:
    for book in books:
        for rule in book.rules:
            governed = has_role(rule, intent.decal) and governs(rule, intent.surface.key)
            if rule.severity is Severity.LIMIT and governed:
                yield f"{book.key}/{rule.key}", rule


def _edges(name: str, rule: Rule, surface: Surface) -> list[Edge]:
    datums = {datum.name: datum.y_mm for datum in surface.datums}
    datum = rule.parameters.get("datum")
    if datum not in datums:
        return []
    y = datums[str(datum)]
    match rule.check:
        case Check.CONFINED_WITHIN:
            return [Edge(name, y + _number(rule, "within"), near=False)]
        case Check.BEYOND_AT_LEAST:
            return [Edge(name, y + _number(rule, "gap"), near=True)]
        case Check.SHORT_AT_LEAST:
            return [Edge(name, y - _number(rule, "gap"), near=False)]
    return []


def _walls(name: str, rule: Rule, surface: Surface, neighbours: Sequence[Placed]) -> list[Wall]:
    match rule.check:
        case Check.INSIDE_SURFACE:
            return [_wall(name, surface.outline, _number(rule, "gap"), inside=True)]
        case Check.CLEAR_OF_ZONE:
            wanted = rule.parameters.get("zone", "")
            zones = [z for z in surface.zones if (z.name == wanted if wanted else not z.allowed)]
            return [_wall(name, zone.area, _number(rule, "gap"), inside=False) for zone in zones]
        case Check.CLEAR_OF_BAND:
            return [_band_wall(name, rule, surface)]
        case Check.GAP_AT_LEAST:
            others = [one for one in neighbours if has_role(rule, one.decal)]
            return [_wall(name, one.area, _number(rule, "gap"), inside=False) for one in others]
    return []


def _band_wall(name: str, rule: Rule, surface: Surface) -> Wall:
    x0, _, x1, _ = surface.outline.bounds
    toe = surface.datum(str(rule.parameters["datum"])).y_mm
    reach = 10.0 * (x1 - x0)  # far wider than any decal on the surface
    band = shapely.box(
        x0 - reach, toe - _number(rule, "far"), x1 + reach, toe - _number(rule, "near")
    )
    return _wall(name, band, 0.0, inside=False)


def _wall(name: str, area: Area, gap_mm: float, *, inside: bool) -> Wall:
    return Wall(name, area, segments_of(area), gap_mm, inside)


def _least(name: str, rule: Rule, intent: Intent) -> list[tuple[str, float]]:
    regions = intent.decal.regions
    match rule.check:
        case Check.TEXT_HEIGHT_AT_LEAST:
            sizes = [r.text_height_mm for r in regions if r.text_height_mm]
            return [(name, _number(rule, "height") / min(sizes))] if sizes else []
        case Check.LINE_WIDTH_AT_LEAST:
            sizes = [r.thinnest_mm for r in regions if r.thinnest_mm]
            return [(name, _number(rule, "width") / min(sizes))] if sizes else []
    return []


def _number(rule: Rule, name: str) -> float:
    return float(rule.parameters[name])


def segments_of(area: Area) -> NDArray[np.float64]:
    """Every side of every ring, shape (n, 2 ends, 2)."""
    rings = [
        np.asarray(ring.coords)[:, :2]
        for part in shapely.get_parts(area)
        for ring in (part.exterior, *part.interiors)
    ]
    sides = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings]
    return np.concatenate(sides) if sides else np.empty((0, 2, 2))
