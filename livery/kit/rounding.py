"""Panels with rounded corners, as exact curves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from livery.geometry import Path

_QUARTER = 0.5522847498  # of the radius: control points of a cubic quarter circle
"""[source: common-practice]"""


def round_corners(corners: Sequence[Sequence[float]], radius_mm: float) -> Path:
    """A closed path through corners, each rounded.

    Args:
        corners: (x, y) or (x, y, radius) in mm, in order round the outline.
        radius_mm: rounding where a corner names none. A corner takes at most half of the shorter
            of its two sides.

    Returns:
        Lines and one cubic a corner; a corner of radius 0 stays sharp.
    """
    points = np.array([corner[:2] for corner in corners], dtype=np.float64)
    verbs, drawn = "", []
    for index, corner in enumerate(corners):
        here = points[index]
        before = points[index - 1] - here
        after = points[(index + 1) % len(points)] - here
        lengths = float(np.hypot(*before)), float(np.hypot(*after))
        cut = min(corner[2] if len(corner) > 2 else radius_mm, *(side / 2 for side in lengths))
        verbs += "L" if verbs else "M"
        if cut <= 0.0:
            drawn.append(here)
            continue
        first, last = before / lengths[0] * cut, after / lengths[1] * cut
        verbs += "C"
        drawn += [here + first, here + first * (1 - _QUARTER), here + last * (1 - _QUARTER)]
        drawn.append(here + last)
    return Path(verbs + "Z", np.array(drawn))
