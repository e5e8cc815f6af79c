"""Checks on polygons: inside a surface, clear of zones and one another, areas and counts."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations

import shapely
from shapely.geometry import Polygon

from livery.geometry import Area
from livery.kit.model import Surface, Zone
from livery.limits.distances import depth_inside, distance_clear
from livery.limits.model import Rule
from livery.limits.reading import EXACT, Reading
from livery.limits.scene import Placed, Scene, has_role
from livery.limits.values import number, optional_number, word


def inside_surface(scene: Scene, rule: Rule) -> list[Reading]:
    """A decal lies inside its surface, at least ``gap`` from its boundary."""
    gap = number(rule, "gap")
    return [
        Reading(
            scene.subject(one),
            f"the decal lies {{}} inside the edge of the {surface.name.lower()}",
            depth_inside(one.area, surface.outline),
            gap,
            "mm",
            at_most=False,
            when_below=f"the decal hangs {{}} over the edge of the {surface.name.lower()}",
        )
        for surface, placed in scene.by_surface(rule)
        for one in placed
    ]


def clear_of_zone(scene: Scene, rule: Rule) -> list[Reading]:
    """A decal stays at least ``gap`` from the zone named ``zone``, or from every barred zone."""
    gap = number(rule, "gap")
    return [
        Reading(
            scene.subject(one),
            f"the decal is {{}} clear of the {zone.name.replace('-', ' ')}",
            distance_clear(one.area, zone.area),
            gap,
            "mm",
            at_most=False,
            when_below=f"the decal reaches {{}} into the {zone.name.replace('-', ' ')}",
        )
        for surface, placed in scene.by_surface(rule)
        for zone in zones_named(surface, rule)
        for one in placed
    ]


def gap_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """Any two decals on a surface are at least ``gap`` apart; the closest pair is reported."""
    gap = number(rule, "gap")
    readings = []
    for surface, placed in scene.by_surface(rule):
        pairs = [(distance_clear(a.area, b.area), a.key, b.key) for a, b in combinations(placed, 2)]
        if pairs:
            nearest, first, second = min(pairs)
            subject = f"{scene.name}, {surface.key}: {first} and {second}"
            what, overlap = "the decals are {} apart", "the decals overlap by {}"
            readings.append(
                Reading(subject, what, nearest, gap, "mm", at_most=False, when_below=overlap)
            )
    return readings


def share_of_area_at_most(scene: Scene, rule: Rule) -> list[Reading]:
    """Decals cover at most ``share`` of a surface: overlaps once, film counted, holes not."""
    return [
        Reading(
            f"{scene.name}, {surface.key}",
            f"the decals cover {{}} of the {surface.name.lower()}'s {surface.area_mm2:.0f} mm²",
            100.0 * covered_mm2(surface, placed) / surface.area_mm2,
            100.0 * number(rule, "share"),
            "%",
            at_most=True,
        )
        for surface, placed in scene.by_surface(rule)
    ]


def area_at_most(scene: Scene, rule: Rule) -> list[Reading]:
    """Decals cover at most ``area``: each, together on a surface, or together on the item."""
    limit, per = number(rule, "area"), word(rule, "per", "decal")
    if per == "decal":
        return [
            Reading(scene.subject(one), "the decal covers {}", one.area.area, limit, "mm²", True)
            for one in scene.governed(rule)
        ]
    covered = [
        (f"{scene.name}, {surface.key}", covered_mm2(surface, placed))
        for surface, placed in scene.by_surface(rule)
    ]
    if per == "item" and covered:
        covered = [(scene.name, sum(area for _, area in covered))]
    return [
        Reading(name, "the decals cover {}", area, limit, "mm²", True) for name, area in covered
    ]


def count_at_most(scene: Scene, rule: Rule) -> list[Reading]:
    """At most ``count`` decals on a surface, or on the item."""
    limit, per = number(rule, "count"), word(rule, "per", "surface")
    counts = [
        (f"{scene.name}, {surface.key}", len(placed)) for surface, placed in scene.by_surface(rule)
    ]
    if per == "item" and counts:
        counts = [(scene.name, sum(count for _, count in counts))]
    return [Reading(name, "there are {}", count, limit, "decals", True) for name, count in counts]


def surfaces_allowed(scene: Scene, rule: Rule) -> list[Reading]:
    """Decals of the rule's roles sit on the rule's surfaces alone, on that kind of kit."""
    kinds = {str(scene.item.kind)} & set(word(rule, "kinds", str(scene.item.kind)).split())
    strays = [
        one
        for one in scene.placed
        if kinds and has_role(rule, one.decal) and one.surface not in rule.surfaces
    ]
    what = f"{{}} elsewhere than {', '.join(rule.surfaces)}"
    return [Reading(scene.subject(one), what, 1.0, 0.0, "decals", True) for one in strays]


def thickness_at_most(scene: Scene, rule: Rule) -> list[Reading]:
    """Film, adhesive and laminate, with all that overlaps, are at most ``thickness`` thick."""
    limit, loose = number(rule, "thickness"), optional_number(rule, "thickness_loose")
    readings = []
    for _, placed in scene.by_surface(rule):
        for one in placed:
            others = [other for other in placed if other is not one]
            thick, above = thickest_mm(one, others)
            what = "the decal stands {} proud"
            if above:
                what = f"the decal stands {{}} proud with {', '.join(above)} over or under it"
            readings.append(
                Reading(scene.subject(one), what, thick, limit, "mm", at_most=True, loose=loose)
            )
    return readings


def zones_named(surface: Surface, rule: Rule) -> list[Zone]:
    """The zones of a surface that a rule keeps decals off: those it names, or every barred one."""
    name = word(rule, "zone")
    return [zone for zone in surface.zones if (zone.name == name if name else not zone.allowed)]


def covered_mm2(surface: Surface, placed: Sequence[Placed]) -> float:
    """Area of a surface under decals; what hangs over its edge is not on the surface."""
    return _covered_mm2(surface.outline, tuple(one.area for one in placed))


@lru_cache(maxsize=256)  # asked by several rules, for both hands, for every model of one blade
def _covered_mm2(outline: Polygon, areas: tuple[Area, ...]) -> float:
    return float(shapely.unary_union(areas).intersection(outline).area)


def thickest_mm(one: Placed, others: Sequence[Placed]) -> tuple[float, tuple[str, ...]]:
    """The thickest stack at any point of a decal, and the others in that stack.

    The outlines divide the decal into cells; the work grows with their number, however many
    decals lie over one another.
    """
    near = [other for other in others if one.area.intersection(other.area).area > EXACT]
    best: tuple[float, tuple[str, ...]] = (one.decal.thickness_mm, ())
    if not near:
        return best
    lines = shapely.unary_union([placed.area.boundary for placed in (one, *near)])
    for cell in shapely.get_parts(shapely.polygonize([lines])):
        inside = cell.representative_point()
        over = [other for other in near if other.area.covers(inside)]
        if cell.area > EXACT and one.area.covers(inside):
            thick = one.decal.thickness_mm + sum(other.decal.thickness_mm for other in over)
            best = max(best, (thick, tuple(other.key for other in over)))
    return best
