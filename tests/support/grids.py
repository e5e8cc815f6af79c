"""The best fit on a grid of scales and moves, to hold fits against."""

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.placement.bounds import Bounds, area_of
from livery.placement.intent import Intent


def best_on_grid(
    intent: Intent, bounds: Bounds, scales: int = 25, moves: int = 17, above: float = 0.0
) -> tuple[float, float] | None:
    """Largest scale of a grid point that holds every limit, and its smallest move.

    Only scales of at least ``above`` are tried: what is to be beaten.
    """
    across = np.linspace(intent.least_scale, intent.scale, scales)
    along = np.linspace(-intent.slide_mm, intent.slide_mm, moves)
    across = across[across >= above]
    scale, move = (values.ravel() for values in np.meshgrid(across, along, indexing="ij"))
    ring = shapely.get_coordinates(area_of(intent.parts[0]))
    centres = np.stack([np.full_like(move, intent.x_mm), intent.y_mm + move], axis=1)
    held = _held(scale[:, None, None] * ring[None] + centres[:, None, :], bounds)
    if not held.any():
        return None
    top = float(scale[held].max())
    return top, float(np.abs(move[held & (scale == top)]).min())


def _held(points: NDArray[np.float64], bounds: Bounds) -> NDArray[np.bool_]:
    held = np.ones(len(points), dtype=bool)
    for edge in bounds.edges:
        if edge.near:
            held &= points[..., 1].min(axis=1) >= edge.y_mm
        else:
            held &= points[..., 1].max(axis=1) <= edge.y_mm
    for wall in bounds.walls:
        if not held.any():
            break
        shapely.prepare(wall.area)
        areas = shapely.polygons(points[held])
        sided = (
            shapely.covers(wall.area, areas) if wall.inside else shapely.disjoint(wall.area, areas)
        )
        held[held] = sided
        if wall.gap_mm > 0.0:
            near = shapely.boundary(wall.area)
            shapely.prepare(near)
            closer_than = np.nextafter(wall.gap_mm, 0.0)
            held[held] = ~shapely.dwithin(near, shapely.boundary(areas[sided]), closer_than)
    return held
