"""The sides of a blade between rails, and the centre line between them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from livery.capture.blade_edges import LEAST_STEP, edges_across, fit_line, sample_picture
from livery.capture.rectified import Box, Rectified
from livery.colour import Floats

# Every figure: [source: workshop-choice]
WIDER_MM = 3.0  # than was said, or narrower, that a blade is found
_MOST_ASIDE_MM = 14.0  # the centre line, off the middle of the rails
_MOST_TURN_DEG = 2.5  # of it
_ROUGH_MM, _ROUGH_DEG = 0.5, 0.1  # steps of the rough search
_MOST_CHANGE = 0.3  # of white, that one row adds to it: no stain or decal outweighs the rest
_ABOVE, _BELOW = 0.3, 0.12  # of the room's height, left out of the straight part at either end
_LEAST_ROWS = 0.4  # share of the straight part in which both sides are seen
_MOST_APART_DEG = 0.35  # between the sides, which taper little


@dataclass(frozen=True, slots=True)
class Sides:
    """Both sides in the target's frame, mm.

    Attributes:
        x0, y0, slope: the centre line is x = x0 + slope·(y - y0).
        half: half the width.
        x_sd, slope_sd: standard uncertainties of ``x0`` and ``slope``.
    """

    x0: float
    y0: float
    slope: float
    half: float
    x_sd: float
    slope_sd: float

    def beside(self, right: Floats, y: Floats | float) -> Floats:
        """X of places so far to the right of the centre line, at heights y."""
        return right + self.x0 + self.slope * (y - self.y0)


def find_sides(picture: Rectified, width_mm: float, room_mm: Box) -> Sides | None:
    """Both sides over the straight part, roughly by both together, then each row by row.

    Args:
        picture: the rails' window, rectified.
        width_mm: the blade's, within ``WIDER_MM``.
        room_mm: between the strips, and down to the crosspiece, in the target's frame.

    Returns:
        None where they are not seen, or lie as no blade's do.
    """
    x0, y0, x1, y1 = room_mm
    rows = np.arange(y0 + _ABOVE * (y1 - y0), y1 - _BELOW * (y1 - y0), 1.0)
    middle = float(rows.mean())
    rough = _rough_sides(picture, rows, (x0, x1), width_mm / 2)
    if rough is None:
        return None
    left, right, slope = rough
    lean = slope * (rows - middle)
    sides = [edges_across(picture, rows, side + lean, (x0, x1)) for side in (left, right)]
    both = np.isfinite(sides[0]) & np.isfinite(sides[1])
    if both.sum() < _LEAST_ROWS * len(rows):
        return None
    lines = [fit_line(rows[both] - middle, side[both])[0] for side in sides]
    if abs(math.degrees(lines[0][0] - lines[1][0])) > _MOST_APART_DEG:
        return None
    centres, halves = (sides[0] + sides[1])[both] / 2, (sides[1] - sides[0])[both] / 2
    fit, sd = fit_line(rows[both] - middle, centres)
    return Sides(fit[1], middle, fit[0], float(np.median(halves)), sd[1], sd[0])


def _rough_sides(
    picture: Rectified, rows: Floats, room_mm: tuple[float, float], half: float
) -> tuple[float, float, float] | None:
    """Left side and right side, mm, and slope, of two lines that steps across stand on."""
    step, middle = _ROUGH_MM, sum(room_mm) / 2
    offsets = np.arange(-_MOST_ASIDE_MM - half, _MOST_ASIDE_MM + half + step, step)
    x, y = np.meshgrid(middle + offsets, rows)
    light = sample_picture(picture, np.clip(x, *room_mm), y)
    change = np.linalg.norm(light[:, 2:] - light[:, :-2], axis=2)
    change = np.minimum(np.pad(change, ((0, 0), (1, 1))), _MOST_CHANGE)
    index, columns = np.arange(len(rows))[:, None], np.arange(len(offsets))[None]
    widths = np.arange(2.0 * half - WIDER_MM, 2.0 * half + WIDER_MM + 0.01, step) / step
    best: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    for turn in np.arange(-_MOST_TURN_DEG, _MOST_TURN_DEG + 0.01, _ROUGH_DEG):
        slope = math.tan(math.radians(float(turn)))
        moved = columns + np.rint(slope * (rows - rows.mean()) / step).astype(int)[:, None]
        line = change[index, np.clip(moved, 0, len(offsets) - 1)].mean(axis=0)
        for width in np.rint(widths).astype(int):
            score = line[:-width] + line[width:]
            at = int(score.argmax())
            if score[at] > best[0] + 1e-9:
                best = (float(score[at]), float(offsets[at]), width * step, slope)
    if best[0] < LEAST_STEP:
        return None
    return middle + best[1], middle + best[1] + best[2], best[3]
