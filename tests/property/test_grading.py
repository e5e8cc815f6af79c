"""Fits against a grid over scale and move, and against their own limits."""

from itertools import combinations

import pytest
from crowds import FROM_MM, GAP_MM, WITHIN_MM, crowd_book, hold_against_grid, lobed_pile
from grids import best_on_grid
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import graded_decals

from livery.placement import contour
from livery.placement.bounds import gather_bounds
from livery.placement.fitting import Fitter
from livery.placement.seating import seat_decals
from livery.placement.seats import Seat


@given(st.data())
@settings(max_examples=30)
def test_no_grid_point_beats_a_fit_and_no_fit_breaks_a_limit(data: st.DataObject) -> None:
    intent, book = data.draw(graded_decals())
    bounds = gather_bounds(intent, [book], [])
    fitter = Fitter(intent, bounds)
    fit = fitter.largest(intent.least_scale, intent.scale, intent.slide_mm)
    best = best_on_grid(intent, bounds)
    if fit is None:
        assert best is None
        return
    assert intent.least_scale - 1e-9 <= fit.scale <= intent.scale
    assert abs(fit.slide_mm) <= intent.slide_mm
    assert max(fitter.shortages(fit.scale, fit.slide_mm).values(), default=0.0) <= 1e-6
    if best is not None:
        scale, move = best
        assert fit.scale >= scale - 1e-9
        if abs(fit.scale - scale) <= 1e-9:
            assert abs(fit.slide_mm) <= move + 1e-6


@given(st.integers(0, 2**32 - 1), st.booleans())
@settings(max_examples=20)
def test_no_choice_beats_a_joint_fit_and_none_breaks_a_limit(seed: int, linked: bool) -> None:
    hold_against_grid(seed, linked=linked, shares=7, moves=7)


def _hold_their_limits(seats: list[Seat]) -> None:
    placed = [one for seat in seats if seat.fits for one in seat.placed]
    assert all(one.bounds[1] >= FROM_MM - 1e-6 for one in placed)
    assert all(one.bounds[3] <= WITHIN_MM + 1e-6 for one in placed)
    apart = [one.area.distance(other.area) for one, other in combinations(placed, 2)]
    assert min(apart, default=GAP_MM) >= GAP_MM - 1e-6


@given(st.integers(0, 2**32 - 1), st.integers(2, 5))
@settings(max_examples=12)
def test_hollow_decals_are_seated_as_by_every_pair_of_sides(seed: int, count: int) -> None:
    pile = lobed_pile(seed, count, curved=False)
    found = []
    for few in (16, 10**9):  # by runs of sides, and by sides alone
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(contour, "_FEW", few)
            found.append(seat_decals(pile, [crowd_book()]))
    _hold_their_limits(found[0])
    for one, other in zip(*found, strict=True):
        assert one.fits is other.fits
        assert one.fit.scale == pytest.approx(other.fit.scale, abs=1e-9)
        assert one.fit.slide_mm == pytest.approx(other.fit.slide_mm, abs=1e-6)


def test_a_pile_of_hollow_curves_keeps_its_gaps() -> None:
    seats = seat_decals(lobed_pile(1, 5, curved=True), [crowd_book()])
    assert sum(seat.fits for seat in seats) >= 3
    _hold_their_limits(seats)
