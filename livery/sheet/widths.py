"""How narrow, how sharp: measures of a shape that only its finished area shows.

Source: what counts as a stretch, and the allowance for curves laid flat [source: workshop-choice].
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

_DEPTH_MM = 0.02
_HALVINGS = 7
_LONG = 3.0
_STRETCH_MM = 2.0


def least_width_mm(area: BaseGeometry, limit_mm: float) -> float:
    """Least width that a shape keeps over a stretch; the limit when it is nowhere narrower.

    What opening by a width takes away is narrower than it. Corners and the tips of leaves lose
    short pieces only, and do not count.
    """
    return _least_width(shapely.to_wkb(area), limit_mm)


def corner_radius_mm(outline: BaseGeometry, limit_mm: float) -> float:
    """Radius of the sharpest corner, outward or inward; the limit when none is sharper."""
    return _corner_radius(shapely.to_wkb(outline), limit_mm)


@lru_cache(maxsize=128)
def _least_width(shape: bytes, limit: float) -> float:
    area = shapely.from_wkb(shape)
    stretch = max(_STRETCH_MM, _LONG * limit)

    def holds(width: float) -> bool:
        opened = area.buffer(-width / 2.0).buffer(width / 2.0 * 1.01)
        lost = shapely.get_parts(area.difference(opened))
        return not any(_length(part) > stretch for part in lost)

    return _greatest(holds, limit)


@lru_cache(maxsize=128)
def _corner_radius(shape: bytes, limit: float) -> float:
    outline = shapely.from_wkb(shape)

    def turns(radius: float) -> bool:
        opened = outline.buffer(-radius).buffer(radius + _DEPTH_MM)
        closed = outline.buffer(radius).buffer(-radius - _DEPTH_MM)
        return bool(opened.covers(outline) and outline.covers(closed))

    return _greatest(turns, limit)


def _greatest(holds: Callable[[float], bool], limit: float) -> float:
    """The greatest size up to ``limit`` that holds, by halving; 0 when none does."""
    if holds(limit):
        return limit
    low, high = 0.0, limit
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _length(part: BaseGeometry) -> float:
    x0, y0, x1, y1 = part.bounds
    return float(np.hypot(x1 - x0, y1 - y0))
