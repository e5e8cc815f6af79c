"""How sharp a photograph is: the width of edges that are printed sharp."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from livery.capture.markers import MODULES, marker_corners_mm
from livery.capture.model import Target
from livery.capture.patch_pixels import inner_corners
from livery.capture.plane import Plane
from livery.colour import Floats

# Every figure: [source: workshop-choice]
_ALONG = 12  # profiles averaged along one edge
_ENDS = (0.2, 0.8)  # share of an edge's length between which they lie
_ACROSS = 81  # steps of a profile
_REACH = 0.9  # of a module, or a tenth of a patch: how far a profile goes to either side
_LOW, _HIGH = 0.1, 0.9  # shares of an edge's step between which its width is told
_CONTRAST = 25.0  # least step of an edge, codes of 255
_SEARCH_PX = 1600.0  # longest side at which a whole picture's edges are looked at
_LEAST_PX = 8  # of a side then
_SPAN, _SHARPEST = (99.0, 1.0), 99.5  # percentiles of codes, and of steps from px to px


def edge_width_mm(grey: NDArray[np.uint8], plane: Plane, target: Target) -> float:
    """The width over which edges rise from 10 to 90 %, in the direction in which they are worse.

    Args:
        grey: the photograph in grey, shape (height, width).
        plane: where the target lies.
        target: its markers' edges are measured, or its patches' where it has no markers.

    Returns:
        mm on the target; infinite when no edge has contrast.
    """
    if target.markers:
        corners = np.stack([marker_corners_mm(marker) for marker in target.markers])
        reach = np.array([marker.size_mm / MODULES for marker in target.markers])
    else:
        corners = inner_corners(target.patches, 0.0)
        reach = np.array([patch.w_mm / 10.0 for patch in target.patches])
    widths: tuple[list[float], list[float]] = ([], [])
    for side in range(4):
        edges = corners[:, side], corners[:, (side + 1) % 4]
        for profile, across in _profiles(grey, plane, *edges, _REACH * reach):
            width = _rise(profile, across)
            if width is not None:
                widths[side % 2].append(width)
    if not widths[0] or not widths[1]:
        return math.inf
    return max(float(np.median(widths[0])), float(np.median(widths[1])))


def _profiles(
    grey: NDArray[np.uint8], plane: Plane, start: Floats, stop: Floats, reach: Floats
) -> list[tuple[Floats, Floats]]:
    """The mean profile across each edge that is in the picture, and its steps in mm.

    Args:
        grey: the photograph.
        plane: where the target lies.
        start: one end of each edge in the target's mm, shape (n, 2).
        stop: the other, likewise.
        reach: how far to either side of each, mm, shape (n,).
    """
    import cv2

    along = np.linspace(*_ENDS, _ALONG)[:, None, None]
    across = np.linspace(-1.0, 1.0, _ACROSS) * reach[:, None]
    edge = stop - start
    normal = np.stack([-edge[:, 1], edge[:, 0]], axis=1)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    middle = (start[:, None, None] + along * edge[:, None, None])[:, :, 0]
    points = middle[:, :, None] + across[:, None, :, None] * normal[:, None, None]
    px = plane.to_px(points.reshape(-1, 2)).reshape(len(edge), -1, 2)
    most = np.array(grey.shape[::-1]) - 1
    seen = (px >= 0).all(axis=(1, 2)) & (px < most).all(axis=(1, 2))
    if not seen.any():
        return []
    places = px[seen].astype(np.float32)
    codes = cv2.remap(grey, places[..., 0], places[..., 1], cv2.INTER_LINEAR)
    profiles = np.asarray(codes, np.float64).reshape(-1, _ALONG, _ACROSS).mean(axis=1)
    return list(zip(profiles, across[seen], strict=True))


def _rise(profile: Floats, across: Floats) -> float | None:
    """Distance over which a profile goes from a tenth to nine tenths of its step, mm.

    Levels are the extremes on either side of the middle, and the crossings those nearest to it,
    so that what lies beyond the edge does not count.

    Args:
        profile: codes of 255 across an edge, shape (steps,).
        across: the steps' places, mm, likewise.

    Returns:
        None where the edge has too little contrast.
    """
    middle = len(profile) // 2
    rising = profile[middle:].mean() > profile[:middle].mean()
    upright = profile if rising else -profile
    low, high = upright[: middle + 1].min(), upright[middle:].max()
    if high - low < _CONTRAST:
        return None
    share = (upright - low) / (high - low)
    halfway = int(np.argmax(share[: int(np.argmax(upright[middle:])) + middle + 1] >= 0.5))
    before = np.flatnonzero(share[: halfway + 1] <= _LOW)
    after = np.flatnonzero(share[halfway:] >= _HIGH)
    first = across[before[-1]] if before.size else across[0]
    last = across[halfway + after[0]] if after.size else across[-1]
    return float(max(last - first, 0.0))


def sharpness(grey: NDArray[np.uint8]) -> float:
    """How abrupt the sharpest edges of a whole picture are, 0 (none) to about 1.

    In the direction in which they are less so, as a shaken picture is sharp in the other. For a
    picture in which no target was found: it tells blur from absence.

    Args:
        grey: the photograph in grey, shape (height, width).
    """
    import cv2

    scale = min(1.0, _SEARCH_PX / max(grey.shape))
    width, height = (max(_LEAST_PX, round(side * scale)) for side in reversed(grey.shape))
    resized = cv2.resize(grey, (width, height), interpolation=cv2.INTER_AREA)
    small = np.asarray(resized, np.float64)
    span = max(1.0, float(np.subtract(*np.percentile(small, _SPAN))))
    steps = [np.percentile(np.abs(np.diff(small, axis=axis)), _SHARPEST) for axis in (0, 1)]
    return float(min(steps)) / span
