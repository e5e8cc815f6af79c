"""Decals that push one another, against brute force over every scale and move."""

from collections.abc import Callable
from dataclasses import replace
from itertools import combinations

import pytest
from crowds import GAP_MM, crowd, crowd_book, hold_against_grid
from shapely.geometry import box

from livery.limits import Rule, RuleBook, Severity
from livery.placement.intent import Intent
from livery.placement.seating import seat_decals


@pytest.mark.parametrize("linked", [False, True])
@pytest.mark.parametrize("seed", range(14))
def test_no_grid_point_beats_the_joint_fit(seed: int, linked: bool) -> None:
    hold_against_grid(seed, linked=linked, shares=9, moves=9)


def _spread(intents: list[Intent]) -> list[Intent]:
    """Far apart, so that areas add up."""
    return [replace(one, y_mm=100.0 * (n + 1)) for n, one in enumerate(intents)]


@pytest.mark.parametrize("per", ["surface", "item"])
def test_limits_on_area_are_solved_and_only_for_what_they_govern(per: str) -> None:
    a, b, c = _spread(crowd(3, linked=False))
    (part,) = c.parts
    c = replace(c, parts=(replace(part, decal=replace(part.decal, role="lettering")),))
    a, b = replace(a, least_scale=0.3), replace(b, least_scale=0.3)
    full = sum(one.parts[0].decal.width_mm * one.parts[0].decal.height_mm for one in (a, b))
    limit: dict[str, float | str] = {"area": 0.49 * full, "per": per}
    rule = Rule(
        "n", "n", "area-at-most", limit, (), ("decoration",), Severity.LIMIT, "b", "", "read"
    )
    seats = seat_decals([a, b, c], [RuleBook("book", "Book", (rule,))])
    assert [seat.fit.scale for seat in seats] == pytest.approx([0.7, 0.7, 1.0], abs=1e-9)


def test_one_that_may_not_shrink_leaves_its_share_to_others(book: Callable[..., RuleBook]) -> None:
    a, b, _ = _spread(crowd(3, linked=False))
    a, b = replace(a, least_scale=1.0), replace(b, least_scale=0.1)
    areas = [one.parts[0].decal.width_mm * one.parts[0].decal.height_mm for one in (a, b)]
    rules = book(("area-at-most", {"area": areas[0] + 0.25 * areas[1], "per": "item"}))
    first, second = seat_decals([a, b], [rules])
    assert (first.fit.scale, second.fit.scale) == (1.0, pytest.approx(0.5, abs=1e-9))


def test_a_pile_too_high_for_every_choice_is_seated_one_by_one() -> None:
    pile = [
        replace(one, key=f"{seed}{one.key}", slide_mm=40.0, least_scale=0.3)
        for seed in range(8)
        for one in crowd(seed, linked=False)
    ]
    seats = seat_decals(pile, [crowd_book()])
    assert seats[0].fits and seats[0].fit.scale == pile[0].scale
    boxes = [box(*one.bounds) for seat in seats if seat.fits for one in seat.placed]
    assert 2 <= len(boxes) < len(pile)
    apart = [one.distance(other) for one, other in combinations(boxes, 2)]
    assert min(apart) >= GAP_MM - 1e-6
