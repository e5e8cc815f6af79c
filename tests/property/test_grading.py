"""Fits against a grid over scale and move, and against their own limits."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from strategies import graded_decals

from livery.limits import RuleBook
from livery.placement.bounds import Bounds, area_of, gather_bounds
from livery.placement.fitting import Fitter
from livery.placement.intent import Intent

GRID = (25, 17)  # scales by moves


@given(st.data())
@settings(max_examples=30)
def test_no_grid_point_beats_a_fit_and_no_fit_breaks_a_limit(data: st.DataObject) -> None:
    intent, book = data.draw(graded_decals())
    bounds = gather_bounds(intent, [book], [])
    fitter = Fitter(intent, bounds)
    fit = fitter.largest(intent.least_scale, intent.scale, intent.slide_mm)
    best = _best_on_grid(intent, book, bounds)
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


def _best_on_grid(intent: Intent, book: RuleBook, bounds: Bounds) -> tuple[float, float] | None:
    """Largest scale of a grid point that holds every limit, and its smallest move."""
    scales = np.linspace(intent.least_scale, intent.scale, GRID[0])
    moves = np.linspace(-intent.slide_mm, intent.slide_mm, GRID[1])
    scale, move = (values.ravel() for values in np.meshgrid(scales, moves, indexing="ij"))
    ring = shapely.get_coordinates(area_of(intent.parts[0]))
    centres = np.stack([np.full_like(move, intent.x_mm), intent.y_mm + move], axis=1)
    points = scale[:, None, None] * ring[None] + centres[:, None, :]
    held = _held(points, bounds)
    if not held.any():
        return None
    top = float(scale[held].max())
    return top, float(np.abs(move[held & (scale == top)]).min())


def _held(points: NDArray[np.float64], bounds: Bounds) -> NDArray[np.bool_]:
    areas = shapely.polygons(points)
    held = np.ones(len(points), dtype=bool)
    for edge in bounds.edges:
        if edge.near:
            held &= points[..., 1].min(axis=1) >= edge.y_mm
        else:
            held &= points[..., 1].max(axis=1) <= edge.y_mm
    for wall in bounds.walls:
        apart = shapely.distance(shapely.boundary(areas), wall.area.boundary)
        inside = shapely.covers(wall.area, areas)
        outside = shapely.disjoint(wall.area, areas)
        held &= (inside if wall.inside else outside) & (apart >= wall.gap_mm)
    return held
