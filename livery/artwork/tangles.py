"""How often a path meets itself: the measure of what its area costs to find.

Finding the area of a path takes time with the crossings in it, which may grow as the square of
its commands. Counting them first, only as far as allowed, keeps a hostile file from taking hours.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.geometry import Path

MAX_MEETINGS = 20_000
"""Most places where the paths of one artwork may meet themselves (workshop choice)."""

_PAIRS_AT_ONCE = 500_000  # most pairs one query may answer, to bound it (workshop choice)


def count_meetings(path: Path, reach: float, tolerance: float, most: int) -> int:
    """Pairs of a path's pieces that touch, cross or run within reach, neighbours apart.

    Args:
        path: the path.
        reach: distance within which two pieces meet, in the path's units; 0 for crossings.
        tolerance: how finely curves are cut into pieces.
        most: where to stop counting.

    Returns:
        The count, or some number above ``most``.
    """
    pieces = _pieces(path, tolerance)
    if len(pieces) < 4:
        return 0
    lines = np.asarray(shapely.linestrings(pieces), dtype=object).reshape(-1)
    tree = shapely.STRtree(lines)
    at_once = max(4, _PAIRS_AT_ONCE // len(lines))
    total = 0
    for start in range(0, len(lines), at_once):
        some = lines[start : start + at_once]
        if reach > 0:
            found = tree.query(some, predicate="dwithin", distance=reach)
        else:
            found = tree.query(some, predicate="intersects")
        total += found.shape[1] - 3 * len(some)  # each meets itself and two neighbours
        if total > 2 * most:
            break
    return max(0, total // 2)


def _pieces(path: Path, tolerance: float) -> NDArray[np.float64]:
    runs = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in path.flattened(tolerance)]
    pieces = np.concatenate(runs) if runs else np.empty((0, 2, 2))
    return pieces[np.any(pieces[:, 0] != pieces[:, 1], axis=1)]
