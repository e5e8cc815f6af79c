"""Fits against a grid over scale and move, and against their own limits."""

from crowds import hold_against_grid
from grids import best_on_grid
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import graded_decals

from livery.placement.bounds import gather_bounds
from livery.placement.fitting import Fitter


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
