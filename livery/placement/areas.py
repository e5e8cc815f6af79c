"""Limits on what decals cover together: on a surface, or on a whole item."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from livery.kit.model import Surface
from livery.limits import Check, Rule, RuleBook, Severity
from livery.limits.checks_area import covered_mm2
from livery.limits.scene import governs, has_role
from livery.limits.values import number, word
from livery.placement.intent import Intent, Settled
from livery.placement.seats import place

_ROUNDING = 1e-12
"""Of a limit, what is forgiven: of 1,000 mm² the 1e-9 mm² that the checks forgive, of a larger one
more, as sums of large areas round by more. [source: workshop-choice]."""


@dataclass(frozen=True, slots=True, eq=False)
class AreaLimit:
    """One rule on the area that decals cover together.

    Attributes:
        rule: book and key of the governing one.
        most_mm2: the limit.
        surfaces: those counted together.
        keys: of the intents with decals that it governs.
    """

    rule: str
    governing: Rule
    most_mm2: float
    surfaces: tuple[Surface, ...]
    keys: tuple[str, ...]

    def covered_mm2(self, seats: Mapping[str, Settled]) -> float:
        """What governed decals cover: overlaps once, what hangs over an edge not at all."""
        covered = 0.0
        for surface in self.surfaces:
            placed = [
                one
                for key in self.keys
                for one in place(*seats[key])
                if one.surface == surface.key and has_role(self.governing, one.decal)
            ]
            covered += covered_mm2(surface, placed) if placed else 0.0
        return covered

    def holds(self, seats: Mapping[str, Settled]) -> bool:
        """Whether intents with these fits keep the limit."""
        return self.covered_mm2(seats) <= self.most_mm2 * (1.0 + _ROUNDING)


def area_limits(intents: Sequence[Intent], books: Sequence[RuleBook]) -> list[AreaLimit]:
    """The limits in force on what an item's decals cover together, in the books' order."""
    surfaces = {intent.surface.key: intent.surface for intent in intents}
    found: list[AreaLimit] = []
    for book in books:
        for rule in book.rules:
            if rule.severity is not Severity.LIMIT:
                continue
            under = [surface for key, surface in surfaces.items() if governs(rule, key)]
            for most, counted in _counted(rule, under):
                keys = _governed(rule, intents, counted)
                if keys:
                    found.append(AreaLimit(f"{book.key}/{rule.key}", rule, most, counted, keys))
    return found


def _counted(rule: Rule, surfaces: Sequence[Surface]) -> list[tuple[float, tuple[Surface, ...]]]:
    """(limit in mm², surfaces counted together) for each sum that a rule bounds."""
    if rule.check == Check.SHARE_OF_AREA_AT_MOST:
        share = number(rule, "share")
        return [(share * surface.area_mm2, (surface,)) for surface in surfaces]
    if rule.check != Check.AREA_AT_MOST:
        return []
    area, per = number(rule, "area"), word(rule, "per", "decal")
    if per == "surface":
        return [(area, (surface,)) for surface in surfaces]
    return [(area, tuple(surfaces))] if per == "item" else []


def _governed(
    rule: Rule, intents: Sequence[Intent], surfaces: Sequence[Surface]
) -> tuple[str, ...]:
    """Keys of intents on surfaces that have a decal which a rule governs."""
    keys = {surface.key for surface in surfaces}
    return tuple(
        intent.key
        for intent in intents
        if intent.surface.key in keys and any(has_role(rule, part.decal) for part in intent.parts)
    )
