"""A decal's or group's place, as the checks take it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from livery.limits import Placed, RuleBook, set_in_place
from livery.placement.bounds import gather_bounds
from livery.placement.fitting import Fitter
from livery.placement.intent import Fit, Intent, Settled


@dataclass(frozen=True, slots=True, eq=False)
class Seat:
    """A place on a surface.

    Attributes:
        intent: settled: not linked any more.
        fits: whether every limit on it holds.
        wanted: (rule, mm) broken had it been left where it was graded to.
    """

    intent: Intent
    fit: Fit
    fits: bool
    wanted: tuple[tuple[str, float], ...]

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Its decals in place."""
        return place(self.intent, self.fit)


@lru_cache(maxsize=512)
def place(intent: Intent, fit: Fit) -> tuple[Placed, ...]:
    """An intent's decals at a fit."""
    return tuple(
        set_in_place(part.key, part.decal, intent.surface.key, intent.affine(part, fit), fit.scale)
        for part in intent.parts
    )


def fitter_among(intent: Intent, books: Sequence[RuleBook], others: Sequence[Settled]) -> Fitter:
    """An intent's fitter with others in place about it."""
    neighbours = [one for other, fit in others for one in place(other, fit)]
    return Fitter(intent, gather_bounds(intent, books, neighbours))


def least_bad(intent: Intent, fitter: Fitter) -> Fit:
    """Of the extremes the designer allows, the one that breaks its limits by least."""
    corners = [
        Fit(scale, slide)
        for scale in dict.fromkeys((intent.scale, intent.least_scale))
        for slide in dict.fromkeys((0.0, -intent.slide_mm, intent.slide_mm))
    ]
    return min(
        corners,
        key=lambda fit: max(fitter.shortages(fit.scale, fit.slide_mm).values(), default=0.0),
    )
