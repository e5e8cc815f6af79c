"""Checks along a surface: how far a decal reaches from a datum. Exact, from curve extrema."""

from __future__ import annotations

from livery.kit.model import Surface
from livery.limits.model import Rule
from livery.limits.reading import Reading
from livery.limits.scene import Placed, Scene
from livery.limits.values import number, optional_number, word


def confined_within(scene: Scene, rule: Rule) -> list[Reading]:
    """A decal's far end lies at most ``within`` beyond ``datum``, towards the toe."""
    within, loose = number(rule, "within"), optional_number(rule, "within_loose")
    datum = word(rule, "datum")
    return [
        Reading(
            scene.subject(placed),
            f"the decal reaches {{}} from the {spoken(datum)}",
            placed.bounds[3] - surface.datum(datum).y_mm,
            within,
            "mm",
            at_most=True,
            loose=loose,
        )
        for surface, placed in _with_datum(scene, rule, datum)
    ]


def beyond_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """A decal's near end lies at least ``gap`` beyond ``datum``, towards the toe."""
    datum, gap = word(rule, "datum"), number(rule, "gap")
    return [
        Reading(
            scene.subject(placed),
            f"the decal starts {{}} beyond the {spoken(datum)}",
            placed.bounds[1] - surface.datum(datum).y_mm,
            gap,
            "mm",
            at_most=False,
            when_below=f"the decal starts {{}} before the {spoken(datum)}",
        )
        for surface, placed in _with_datum(scene, rule, datum)
    ]


def short_at_least(scene: Scene, rule: Rule) -> list[Reading]:
    """A decal's far end stops at least ``gap`` short of ``datum``."""
    datum, gap = word(rule, "datum"), number(rule, "gap")
    return [
        Reading(
            scene.subject(placed),
            f"the decal stops {{}} short of the {spoken(datum)}",
            surface.datum(datum).y_mm - placed.bounds[3],
            gap,
            "mm",
            at_most=False,
            when_below=f"the decal runs {{}} past the {spoken(datum)}",
        )
        for surface, placed in _with_datum(scene, rule, datum)
    ]


def clear_of_band(scene: Scene, rule: Rule) -> list[Reading]:
    """A decal keeps out of the band from ``near`` to ``far`` before ``datum``."""
    datum, near, far = word(rule, "datum"), number(rule, "near"), number(rule, "far")
    readings = []
    for surface, placed in _with_datum(scene, rule, datum):
        y_datum = surface.datum(datum).y_mm
        before = (y_datum - far) - placed.bounds[3]
        after = placed.bounds[1] - (y_datum - near)
        band = f"the band {near:g} to {far:g} mm from the {spoken(datum)}"
        readings.append(
            Reading(
                scene.subject(placed),
                f"the decal is {{}} clear of {band}",
                max(before, after),
                0.0,
                "mm",
                at_most=False,
                when_below=f"the decal reaches {{}} into {band}",
            )
        )
    return readings


def spoken(datum: str) -> str:
    """A datum's key as people say it."""
    return {"grip-bottom": "bottom of the grip", "shoulder": "shoulder line"}.get(
        datum, datum.replace("-", " ")
    )


def _with_datum(scene: Scene, rule: Rule, datum: str) -> list[tuple[Surface, Placed]]:
    """Governed decals whose surface has the datum; the rule says nothing about others."""
    return [
        (surface, one)
        for surface, placed in scene.by_surface(rule)
        if any(known.name == datum for known in surface.datums)
        for one in placed
    ]
