"""Edges in a rectified picture: steps between two colours, found halfway in linear light.

There blur of any width leaves them in place.
"""

from __future__ import annotations

import math

import numpy as np

from livery.capture.pixels import MAD_TO_SD
from livery.capture.rectified import Rectified
from livery.colour import Floats

# Every figure: [source: workshop-choice]
_ASTRAY_MM = 1.5  # a side, from where it was roughly seen
_REACH_MM = 2.5  # either side of an edge that is measured
_LEVEL_MM = 0.7  # next to the edge, left out when its two colours are taken
_BLOCK_MM = 4.0  # along an edge; nearer readings are no independent witnesses
_FIT_ROUNDS = 8  # of weighing points anew by how far off the line they are
_OUTLIER = 2.0  # robust standard deviations from which a point counts less
_LEAST_SPREAD_MM = 1e-3
LEAST_STEP = 0.04  # of white, between the colours either side of an edge


def edges_across(
    picture: Rectified, rows: Floats, guess: Floats, room_mm: tuple[float, float]
) -> Floats:
    """Where each row steps from one colour to another near a guess.

    Args:
        picture: rectified.
        rows: y of each row in the target's frame, mm, shape (n,).
        guess: x of the step in each, mm, shape (n,).
        room_mm: least and most x that is looked at; beyond, what lies there is repeated.

    Returns:
        X of the steps, mm, shape (n,); nan where there is none.
    """
    reach = _ASTRAY_MM + _REACH_MM
    offsets = np.arange(-reach, reach + 0.01, 0.5 / picture.px_per_mm)
    x = np.clip(guess[:, None] + offsets[None], *room_mm)
    light = sample_picture(picture, x, np.repeat(rows[:, None], len(offsets), axis=1))
    return guess + _steps(light, offsets)


def edges_along(picture: Rectified, x: Floats, guess: float, reach_mm: float) -> Floats:
    """Where each column steps from one colour to another near a guess.

    Args:
        picture: rectified.
        x: of each column in the target's frame, mm, shape (n,).
        guess: y of the step, mm.
        reach_mm: how far off the guess it may be.

    Returns:
        Y of the steps, mm, shape (n,); nan where there is none.
    """
    reach = reach_mm + _REACH_MM
    offsets = np.arange(-reach, reach + 0.01, 0.5 / picture.px_per_mm)
    grid_x = np.repeat(x[:, None], len(offsets), axis=1)
    grid_y = np.repeat(guess + offsets[None], len(x), axis=0)
    return guess + _steps(sample_picture(picture, grid_x, grid_y), offsets)


def sample_picture(picture: Rectified, x_mm: Floats, y_mm: Floats, *, lab: bool = False) -> Floats:
    """Linear light (XYZ), or Lab, at places of the target, shape (*shape of ``x_mm``, 3)."""
    import cv2

    to_px = picture.to_px
    map_x = (to_px.a * x_mm + to_px.e).astype(np.float32)
    map_y = (to_px.d * y_mm + to_px.f).astype(np.float32)
    source = picture.lab if lab else picture.xyz
    sampled = cv2.remap(source, map_x, map_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(sampled, np.float64)


def fit_line(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """A line through points along an edge, by which stray ones count little.

    Args:
        x: places along the edge, mm, shape (n,).
        y: places across it, mm, shape (n,).

    Returns:
        Slope and level at x = 0 (mm), and the standard error of each, neighbours within a block
        counted as one.
    """
    weights = np.ones(len(x))
    line = np.zeros(2)
    spread = 1.0
    for _ in range(_FIT_ROUNDS):
        line = np.polyfit(x, y, 1, w=np.sqrt(weights))
        away = y - np.polyval(line, x)
        spread = max(MAD_TO_SD * float(np.median(np.abs(away))), _LEAST_SPREAD_MM)
        weights = 1.0 / (1.0 + (away / (_OUTLIER * spread)) ** 2)
    apart = float(np.ptp(x)) / max(len(x) - 1, 1)
    count = max(2.0, len(x) * apart / _BLOCK_MM)
    level_sd = spread / math.sqrt(count)
    slope_sd = level_sd / max(float(x.std()), 1e-6)
    return np.asarray(line, np.float64), np.array([slope_sd, level_sd])


def _steps(light: Floats, offsets: Floats) -> Floats:
    """Offset of the strongest step of each profile, halfway in linear light.

    Args:
        light: shape (n, offsets, 3).
        offsets: mm, evenly apart.

    Returns:
        Mm, shape (n,); nan where no step is large enough.
    """
    gap = offsets[1] - offsets[0]
    near, far = round(_LEVEL_MM / gap), round(_REACH_MM / gap)
    sums = np.cumsum(np.pad(light, ((0, 0), (1, 0), (0, 0))), axis=1)
    places = np.arange(far, len(offsets) - far)
    before = (sums[:, places - near] - sums[:, places - far]) / (far - near)
    after = (sums[:, places + far] - sums[:, places + near]) / (far - near)
    size = np.linalg.norm(after - before, axis=2)
    best = size.argmax(axis=1)
    rows = np.arange(len(light))
    low, high = before[rows, best], after[rows, best]
    axis = high - low
    square = np.maximum((axis**2).sum(axis=1), 1e-12)
    share = ((light - low[:, None]) * axis[:, None]).sum(axis=2) / square[:, None]
    found = np.full(len(light), np.nan)
    for row in rows:
        middle = places[best[row]]
        if size[row, best[row]] >= LEAST_STEP:
            found[row] = _crossing(share[row], offsets, middle - near - 1, middle + near + 1)
    return found


def _crossing(share: Floats, offsets: Floats, first: int, last: int) -> float:
    """Where a profile rises through one half, between two indices; nan where it does not."""
    first, last = max(first, 0), min(last, len(share) - 1)
    for k in range(first, last):
        if share[k] < 0.5 <= share[k + 1]:
            part = (0.5 - share[k]) / (share[k + 1] - share[k])
            return float(offsets[k] + part * (offsets[k + 1] - offsets[k]))
    return math.nan
