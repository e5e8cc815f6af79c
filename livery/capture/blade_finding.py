"""Where a bat's face lies between rails.

Its sides give the centre line, its grip's end the datum.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from livery.capture.blade_edges import (
    LEAST_STEP,
    edges_across,
    edges_along,
    robust_line,
    sample_picture,
)
from livery.capture.rectified import Rectified
from livery.geometry import Affine

WRONG_SIZE = "the likely cause is that another size, or another bat, was named than lies there"
Floats = NDArray[np.float64]
# Every figure: [source: workshop-choice]
_MOST_ASIDE_MM = 14.0  # a blade's centre line, off the middle of the rails
_MOST_TURN_DEG = 2.5
_WIDER_MM = 3.0  # than the size says, or narrower
_NARROWEST_MM, _WIDEST_MM = 75.0, 117.0  # that a blade may be, of any size
_LEAST_ROWS = 0.4  # of the straight part, in which both sides are seen
_MOST_APART_DEG = 0.35  # between the sides, which taper little
_GRIP_REACH_MM = 45.0  # the grip's end, from where the size puts it
_GRIP_SHARE = 0.36  # of the handle's breadth, either side of the centre line
_PLAIN_DE = 14.0  # as far from bare wood as its grain goes
_KNOWN_MM = 0.05  # what rectifying leaves, at best


@dataclass(frozen=True, slots=True, eq=False)
class BladeFind:
    """Where the face lies.

    Attributes:
        affine: the face's frame to the target's, mm: origin at the grip's end on the centre line.
        x_sd_mm, y_sd_mm, turn_sd_deg: standard uncertainties of its origin and turn.
        width_mm: the blade's, at the middle of its straight part.
        length_mm: from the grip's end to the toe; None where the toe was not seen.
        nominal_width_mm, nominal_length_mm: the same of the size.
        by_hand: the edges and the grip's end were pointed at.
    """

    affine: Affine
    x_sd_mm: float
    y_sd_mm: float
    turn_sd_deg: float
    width_mm: float
    length_mm: float | None
    nominal_width_mm: float
    nominal_length_mm: float
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class _Sides:
    """The centre line x = x0 + slope·(y − y0), and half the width."""

    x0: float
    y0: float
    slope: float
    half: float
    x_sd: float
    slope_sd: float


def find_blade(
    picture: Rectified,
    outline: Polygon,
    handle_width_mm: float,
    room_mm: tuple[float, float, float, float],
) -> tuple[BladeFind | None, str]:
    """Find the face of a bat between rails.

    Args:
        picture: the rails' window, rectified.
        outline: the face's, in its frame.
        handle_width_mm: breadth of the grip.
        room_mm: between the strips, and down to the crosspiece, in the target's frame.

    Returns:
        Where it lies, or None and what was not found.
    """
    _, _, _, length = outline.bounds
    sides = _find_sides(picture, outline.bounds[2] - outline.bounds[0], room_mm)
    if sides is None:
        return None, _other_width(picture, outline, room_mm)
    wood = _wood_colour(picture, sides)
    toe = _find_toe(picture, sides, wood, room_mm)
    expected = room_mm[3] - length - 5.0 if toe is None else toe - length
    grip = _find_grip(picture, sides, handle_width_mm, expected)
    if grip is None:
        return None, "the grip's end"
    y, y_sd = grip
    return _frame(sides, y, y_sd, toe, outline), ""


def blade_by_hand(
    left_mm: Floats, right_mm: Floats, grip_mm: Floats, outline: Polygon, sd_mm: float
) -> BladeFind:
    """The face from points that a person pointed at.

    Args:
        left_mm: two points or more on the left side of the straight part, shape (n, 2), in the
            target's frame.
        right_mm: the same on the right.
        grip_mm: one point or more on the grip's end.
        outline: the face's, in its frame.
        sd_mm: how well a person points.
    """
    lines = [np.polyfit(points[:, 1], points[:, 0], 1) for points in (left_mm, right_mm)]
    slope, x0 = (float(v) for v in (lines[0] + lines[1]) / 2)
    y0 = float(np.concatenate([left_mm, right_mm])[:, 1].mean())
    half = float(lines[1][1] + lines[1][0] * y0 - lines[0][1] - lines[0][0] * y0) / 2
    span = float(np.ptp(np.concatenate([left_mm, right_mm])[:, 1]))
    x_sd, slope_sd = sd_mm / math.sqrt(len(left_mm) + len(right_mm)), sd_mm / max(span, 1.0)
    sides = _Sides(x0 + slope * y0, y0, slope, half, x_sd, slope_sd)
    grip = float(grip_mm[:, 1].mean())
    found = _frame(sides, grip, sd_mm / math.sqrt(len(grip_mm)), None, outline)
    return BladeFind(
        found.affine,
        found.x_sd_mm,
        found.y_sd_mm,
        found.turn_sd_deg,
        found.width_mm,
        None,
        found.nominal_width_mm,
        found.nominal_length_mm,
        by_hand=True,
    )


def _frame(
    sides: _Sides, grip_y: float, grip_sd: float, toe: float | None, outline: Polygon
) -> BladeFind:
    length = float(outline.bounds[3])
    x = sides.x0 + sides.slope * (grip_y - sides.y0)
    lever = sides.slope_sd * (grip_y - sides.y0)
    turn = Affine.rotation(-math.degrees(math.atan(sides.slope)))
    across = math.sqrt(1.0 + sides.slope**2)
    return BladeFind(
        affine=Affine.translation(float(x), float(grip_y)) @ turn,
        x_sd_mm=math.hypot(sides.x_sd, lever, _KNOWN_MM),
        y_sd_mm=math.hypot(grip_sd, _KNOWN_MM),
        turn_sd_deg=math.degrees(sides.slope_sd),
        width_mm=2.0 * sides.half / across,
        length_mm=None if toe is None else (toe - grip_y) * across,
        nominal_width_mm=_width_at(outline, sides.y0 - grip_y),
        nominal_length_mm=length,
    )


def _width_at(outline: Polygon, y_mm: float) -> float:
    x0, _, x1, _ = outline.bounds
    return float(outline.intersection(LineString([(x0 - 1.0, y_mm), (x1 + 1.0, y_mm)])).length)


def _other_width(
    picture: Rectified, outline: Polygon, room_mm: tuple[float, float, float, float]
) -> str:
    """What of the sides was not found: with a blade of another width there, which."""
    named = outline.bounds[2] - outline.bounds[0]
    for width in np.arange(_NARROWEST_MM, _WIDEST_MM + 0.1, 2.0 * _WIDER_MM):
        sides = _find_sides(picture, float(width), room_mm)
        if sides is not None and abs(2.0 * sides.half - named) > _WIDER_MM:
            return (
                f"the sides of a blade {named:.0f} mm wide, but of one about "
                f"{2.0 * sides.half:.0f} mm wide; {WRONG_SIZE}"
            )
    return "the blade's sides"


def _find_sides(
    picture: Rectified, width_mm: float, room_mm: tuple[float, float, float, float]
) -> _Sides | None:
    """Both sides over the straight part, roughly by both together, then each row by row."""
    x0, y0, x1, y1 = room_mm
    rows = np.arange(y0 + 0.3 * (y1 - y0), y1 - 0.12 * (y1 - y0), 1.0)
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
    lines = [robust_line(rows[both] - middle, side[both])[0] for side in sides]
    if abs(math.degrees(lines[0][0] - lines[1][0])) > _MOST_APART_DEG:
        return None
    centres, halves = (sides[0] + sides[1])[both] / 2, (sides[1] - sides[0])[both] / 2
    fit, sd = robust_line(rows[both] - middle, centres)
    return _Sides(fit[1], middle, fit[0], float(np.median(halves)), sd[1], sd[0])


def _rough_sides(
    picture: Rectified, rows: Floats, room_mm: tuple[float, float], half: float
) -> tuple[float, float, float] | None:
    """Left side, right side and slope of two lines that steps across stand on."""
    step, middle = 0.5, sum(room_mm) / 2
    offsets = np.arange(-_MOST_ASIDE_MM - half, _MOST_ASIDE_MM + half + step, step)
    x, y = np.meshgrid(middle + offsets, rows)
    light = sample_picture(picture, np.clip(x, *room_mm), y)
    change = np.linalg.norm(light[:, 2:] - light[:, :-2], axis=2)
    change = np.minimum(np.pad(change, ((0, 0), (1, 1))), 0.3)
    index, columns = np.arange(len(rows))[:, None], np.arange(len(offsets))[None]
    widths = np.arange(2.0 * half - _WIDER_MM, 2.0 * half + _WIDER_MM + 0.01, step) / step
    best: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    for turn in np.arange(-_MOST_TURN_DEG, _MOST_TURN_DEG + 0.01, 0.1):
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


def _wood_colour(picture: Rectified, sides: _Sides) -> Floats:
    """Lab of bare wood: what most of the straight part shows."""
    y = np.arange(sides.y0 - 60.0, sides.y0 + 160.0, 2.0)
    x = np.arange(-0.6 * sides.half, 0.6 * sides.half, 2.0)
    grid_x, grid_y = np.meshgrid(x, y)
    grid_x = grid_x + sides.x0 + sides.slope * (grid_y - sides.y0)
    return np.median(sample_picture(picture, grid_x, grid_y, lab=True).reshape(-1, 3), axis=0)


def _find_toe(
    picture: Rectified, sides: _Sides, wood: Floats, room_mm: tuple[float, float, float, float]
) -> float | None:
    """Y of the toe on the centre line: where wood ends, last seen from below."""
    y = np.arange(sides.y0, room_mm[3], 0.5)
    x = np.arange(-0.3 * sides.half, 0.3 * sides.half, 1.0)
    grid_x = x[None] + sides.x0 + sides.slope * (y[:, None] - sides.y0)
    grid_y = np.repeat(y[:, None], len(x), axis=1)
    away = np.linalg.norm(sample_picture(picture, grid_x, grid_y, lab=True) - wood, axis=2)
    plain = np.nonzero((away < _PLAIN_DE).mean(axis=1) > 0.5)[0]
    if not len(plain) or plain[-1] >= len(y) - 2:
        return None
    guess = float(y[plain[-1]])
    found = edges_along(picture, x + sides.x0 + sides.slope * (guess - sides.y0), guess, 2.0)
    return float(np.nanmedian(found)) if np.isfinite(found).mean() > 0.5 else None


def _find_grip(
    picture: Rectified, sides: _Sides, handle_mm: float, expected: float
) -> tuple[float, float] | None:
    """Y of the grip's end on the centre line, and its standard uncertainty.

    The first strong step from something else to wood, coming down the handle.
    """
    top = max(expected - _GRIP_REACH_MM, picture.y0_mm + 1.0)
    y = np.arange(top, expected + _GRIP_REACH_MM, 0.5)
    x = np.arange(-_GRIP_SHARE * handle_mm, _GRIP_SHARE * handle_mm, 0.5)
    grid_x = x[None] + sides.x0 + sides.slope * (y[:, None] - sides.y0)
    light = sample_picture(picture, grid_x, np.repeat(y[:, None], len(x), axis=1))
    profile = np.median(light, axis=1)
    wood = np.median(_below(picture, sides, x, expected), axis=0)
    away = np.linalg.norm(profile - wood, axis=1)
    drop = np.array(
        [away[k - 6 : k - 1].mean() - away[k + 1 : k + 6].mean() for k in range(6, len(y) - 6)]
    )
    if not len(drop) or drop.max() < LEAST_STEP:
        return None
    first = int(np.nonzero(drop >= 0.6 * drop.max())[0][0])
    peak = first + int(drop[first : first + 8].argmax())
    guess = float(y[peak + 6])
    line_x = x + sides.x0 + sides.slope * (guess - sides.y0)
    found = edges_along(picture, line_x, guess, 1.5)
    good = np.isfinite(found)
    if good.mean() < 0.5:
        return None
    fit, sd = robust_line(x[good], found[good])
    return float(fit[1]), float(sd[1])


def _below(picture: Rectified, sides: _Sides, x: Floats, expected: float) -> Floats:
    """Light of the wood near the centre line, over the length where the handle is let in."""
    y = np.arange(expected, expected + 2.0 * _GRIP_REACH_MM, 1.0)
    grid_x = x[None] + sides.x0 + sides.slope * (y[:, None] - sides.y0)
    light = sample_picture(picture, grid_x, np.repeat(y[:, None], len(x), axis=1))
    return light.reshape(-1, 3)
