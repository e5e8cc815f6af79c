"""All decals of one surface together: in turn, then shrunk alike where the surface asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from livery.limits import Check, Placed, RuleBook, Severity, set_in_place
from livery.limits.checks_area import covered_mm2
from livery.limits.scene import governs, has_role
from livery.placement.bounds import gather_bounds
from livery.placement.fitting import SCALE_STEP, Fit, Fitter
from livery.placement.intent import Intent


@dataclass(frozen=True, slots=True, eq=False)
class Seat:
    """A decal's place on its surface.

    Attributes:
        fits: whether every limit on this decal holds.
        wanted: (rule, mm) broken had the decal been left where it was graded to.
    """

    intent: Intent
    fit: Fit
    fits: bool
    wanted: tuple[tuple[str, float], ...]

    @property
    def placed(self) -> Placed:
        """The decal in place, as the checks take it."""
        intent, fit = self.intent, self.fit
        affine = intent.affine(fit.scale, fit.slide_mm)
        return set_in_place(intent.key, intent.decal, intent.surface.key, affine, fit.scale)


def seat_as_stated(intents: Sequence[Intent], books: Sequence[RuleBook]) -> list[Seat]:
    """Leave every decal exactly where it was stated, and say what that breaks."""
    seats: list[Seat] = []
    for intent in intents:
        fitter = Fitter(intent, gather_bounds(intent, books, [seat.placed for seat in seats]))
        wanted = tuple(fitter.shortages(intent.scale, 0.0).items())
        seats.append(Seat(intent, Fit(intent.scale, 0.0), not wanted, wanted))
    return seats


def seat_decals(intents: Sequence[Intent], books: Sequence[RuleBook]) -> list[Seat]:
    """Fit the decals of one surface.

    Each takes the largest scale, then the smallest move, that its limits and the decals seated
    before it allow; earlier ones come first. Where that leaves one without a place, it is seated
    first instead; where decals together cover too much, or still find no place, all shrink by one
    common factor, the largest that serves.

    Args:
        intents: decals of one surface, most important first.
        books: rule books in force.

    Returns:
        A seat for each, in the order given. Those that found no place stand at the allowed
        extreme that breaks their limits least.
    """
    full = _seat_in_any_turn(intents, books, 1.0)
    if _serves(full, books):
        return full
    lowest = min((intent.least_scale / intent.scale for intent in intents), default=1.0)
    least = _seat_in_any_turn(intents, books, lowest)
    if not _serves(least, books):
        return full if _count(full) >= _count(least) else least
    low, high, best = lowest, 1.0, least
    while high - low > SCALE_STEP:
        middle = (low + high) / 2.0
        seats = _seat_in_any_turn(intents, books, middle)
        if _serves(seats, books):
            low, best = middle, seats
        else:
            high = middle
    return best


def _count(seats: Sequence[Seat]) -> int:
    return sum(seat.fits for seat in seats)


def _serves(seats: Sequence[Seat], books: Sequence[RuleBook]) -> bool:
    return all(seat.fits for seat in seats) and _areas_hold(seats, books)


def _areas_hold(seats: Sequence[Seat], books: Sequence[RuleBook]) -> bool:
    """Whether limits on what decals cover together hold."""
    for rule in (rule for book in books for rule in book.rules):
        if rule.severity is not Severity.LIMIT or not seats:
            continue
        surface = seats[0].intent.surface
        if rule.check == Check.SHARE_OF_AREA_AT_MOST:
            most = float(rule.parameters["share"]) * surface.area_mm2
        elif rule.check == Check.AREA_AT_MOST and rule.parameters.get("per") == "surface":
            most = float(rule.parameters["area"])
        else:
            continue
        held = [s.placed for s in seats if has_role(rule, s.intent.decal)]
        if governs(rule, surface.key) and held and covered_mm2(surface, held) > most:
            return False
    return True


def _seat_in_any_turn(
    intents: Sequence[Intent], books: Sequence[RuleBook], shrink: float
) -> list[Seat]:
    turn = list(range(len(intents)))
    best = _seat_in_turn(intents, books, shrink, turn)
    tried = {tuple(turn)}
    seats = best
    while stuck := [i for i in turn if not seats[i].fits]:
        turn = [stuck[0], *[i for i in turn if i != stuck[0]]]
        if tuple(turn) in tried:
            break
        tried.add(tuple(turn))
        seats = _seat_in_turn(intents, books, shrink, turn)
        if _count(seats) > _count(best):
            best = seats
    return best


def _seat_in_turn(
    intents: Sequence[Intent], books: Sequence[RuleBook], shrink: float, turn: Sequence[int]
) -> list[Seat]:
    seats: dict[int, Seat] = {}
    for index in turn:
        neighbours = [seat.placed for seat in seats.values()]
        seats[index] = _seat_one(intents[index], books, neighbours, shrink)
    return [seats[index] for index in range(len(intents))]


def _seat_one(
    intent: Intent, books: Sequence[RuleBook], neighbours: Sequence[Placed], shrink: float
) -> Seat:
    fitter = Fitter(intent, gather_bounds(intent, books, neighbours))
    wanted = tuple(fitter.shortages(intent.scale, 0.0).items())
    most = max(intent.least_scale, intent.scale * shrink)
    if not wanted and most == intent.scale:
        return Seat(intent, Fit(most, 0.0), True, wanted)
    fit = fitter.largest(intent.least_scale, most, intent.slide_mm)
    if fit is not None:
        return Seat(intent, fit, True, wanted)
    return Seat(intent, _least_bad(intent, fitter, most), False, wanted)


def _least_bad(intent: Intent, fitter: Fitter, most: float) -> Fit:
    """Of the extremes the designer allows, the one that breaks its limits by least."""
    corners = [
        Fit(scale, slide)
        for scale in dict.fromkeys((most, intent.least_scale))
        for slide in dict.fromkeys((0.0, -intent.slide_mm, intent.slide_mm))
    ]
    return min(
        corners,
        key=lambda fit: max(fitter.shortages(fit.scale, fit.slide_mm).values(), default=0.0),
    )
