"""Where a bat's face lies between rails: sides give its centre line, its grip's end the datum."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import LineString, Polygon

from livery.capture.blade_edges import (
    LEAST_STEP,
    edges_along,
    fit_line,
    sample_picture,
)
from livery.capture.blade_sides import WIDER_MM, Sides, find_sides
from livery.capture.rectified import Box, Rectified
from livery.colour import Floats
from livery.geometry import Affine

# Every figure: [source: workshop-choice]
MOST_LONGER_MM = 25.0  # or shorter than drawn, and still of the size
_AS_DRAWN_MM = 0.5  # lengths that differ by less are taken as drawn
_NARROWEST_MM, _WIDEST_MM = 75.0, 117.0  # that a blade may be, of any size
_TOE_REACH_MM, _GRIP_EDGE_MM = 2.0, 1.5  # an edge, from where it was roughly seen
_TOE_GAP_MM = 5.0  # from the toe to the crosspiece, where the toe is not seen
_GRIP_REACH_MM = 45.0  # the grip's end, from where the size puts it
_GRIP_SHARE = 0.36  # of the handle's breadth, either side of the centre line
_GRIP_STEP = 0.6  # of the largest step down the handle, that the first one has at least
_WOOD_MM = (-60.0, 160.0)  # from the middle of the straight part, where wood is mostly bare
_PLAIN_DE = 14.0  # ΔE*ab from bare wood, as far as its grain goes
_PLAIN_SHARE = 0.5  # of a row that is wood, above the toe
_LEAST_SEEN = 0.5  # share of the places along an edge in which it is seen
_KNOWN_MM = 0.05  # what rectifying leaves, at best


@dataclass(frozen=True, slots=True, eq=False)
class BladeFind:
    """Where the face lies.

    Attributes:
        affine: the face's frame to the target's, mm: origin at the grip's end on the centre line.
        x_sd_mm, y_sd_mm, turn_sd_deg: standard uncertainties of its origin and turn.
        width_mm: the blade's, at the middle of its straight part.
        length_mm: from the grip's end to the toe; None where the toe was not seen.
        nominal_width_mm, nominal_length_mm: the same as drawn.
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

    @property
    def longer_mm(self) -> float:
        """How much longer the face is than drawn; 0 where as drawn, not known or hardly true."""
        if self.length_mm is None:
            return 0.0
        longer = self.length_mm - self.nominal_length_mm
        return longer if _AS_DRAWN_MM < abs(longer) <= MOST_LONGER_MM else 0.0


@dataclass(frozen=True, slots=True)
class NotFound:
    """What of a blade was not found.

    Attributes:
        what: in words.
        other_size: whether a blade of another width lies there than was named.
    """

    what: str
    other_size: bool = False


def find_blade(
    picture: Rectified,
    outline: Polygon,
    handle_width_mm: float,
    room_mm: Box,
) -> BladeFind | NotFound:
    """Find the face of a bat between rails.

    Args:
        picture: the rails' window, rectified.
        outline: the face's, in its frame.
        handle_width_mm: breadth of the grip.
        room_mm: between the strips, and down to the crosspiece, in the target's frame.
    """
    _, _, _, length = outline.bounds
    sides = find_sides(picture, outline.bounds[2] - outline.bounds[0], room_mm)
    if sides is None:
        return _other_width(picture, outline, room_mm)
    wood = _wood_colour(picture, sides)
    toe = _find_toe(picture, sides, wood, room_mm)
    expected = room_mm[3] - length - _TOE_GAP_MM if toe is None else toe - length
    grip = _find_grip(picture, sides, handle_width_mm, expected)
    if grip is None:
        return NotFound("the grip's end")
    return _frame(sides, *grip, toe, outline)


def blade_by_hand(
    left_mm: Floats, right_mm: Floats, grip_mm: Floats, outline: Polygon, sd_mm: float
) -> BladeFind:
    """The face from points that a person pointed at; of its length they tell nothing.

    Args:
        left_mm: two points or more on the left side of the straight part, shape (n, 2), in the
            target's frame.
        right_mm: the same on the right.
        grip_mm: one point or more on the grip's end, the same.
        outline: the face's, in its frame.
        sd_mm: standard deviation of a person's pointing.
    """
    lines = [np.polyfit(points[:, 1], points[:, 0], 1) for points in (left_mm, right_mm)]
    slope, x0 = (float(v) for v in (lines[0] + lines[1]) / 2)
    y0 = float(np.concatenate([left_mm, right_mm])[:, 1].mean())
    half = float(lines[1][1] + lines[1][0] * y0 - lines[0][1] - lines[0][0] * y0) / 2
    span = float(np.ptp(np.concatenate([left_mm, right_mm])[:, 1]))
    x_sd, slope_sd = sd_mm / math.sqrt(len(left_mm) + len(right_mm)), sd_mm / max(span, 1.0)
    sides = Sides(x0 + slope * y0, y0, slope, half, x_sd, slope_sd)
    grip = float(grip_mm[:, 1].mean())
    found = _frame(sides, grip, sd_mm / math.sqrt(len(grip_mm)), None, outline)
    return replace(found, by_hand=True)


def _frame(
    sides: Sides, grip_y: float, grip_sd: float, toe: float | None, outline: Polygon
) -> BladeFind:
    """Where the face lies, from its sides and the y of its grip's end and toe, mm."""
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
        nominal_length_mm=float(outline.bounds[3]),
    )


def _width_at(outline: Polygon, y_mm: float) -> float:
    """Breadth of the face at a height in its own frame, mm."""
    x0, _, x1, _ = outline.bounds
    return float(outline.intersection(LineString([(x0 - 1.0, y_mm), (x1 + 1.0, y_mm)])).length)


def _other_width(picture: Rectified, outline: Polygon, room_mm: Box) -> NotFound:
    """What of the sides was not found: with a blade of another width there, which."""
    named = outline.bounds[2] - outline.bounds[0]
    for width in np.arange(_NARROWEST_MM, _WIDEST_MM + 0.1, 2.0 * WIDER_MM):
        sides = find_sides(picture, float(width), room_mm)
        if sides is not None and abs(2.0 * sides.half - named) > WIDER_MM:
            return NotFound(
                f"the sides of a blade {named:.0f} mm wide, but of one about "
                f"{2.0 * sides.half:.0f} mm wide; the likely cause is that another size, or "
                "another bat, was named than lies there",
                other_size=True,
            )
    return NotFound("the blade's sides")


def _sample_beside(
    picture: Rectified, sides: Sides, right: Floats, y: Floats, *, lab: bool = False
) -> Floats:
    """Light, or Lab, so far to the right of the centre line, shape (heights, places, 3)."""
    grid_right, grid_y = np.meshgrid(right, y)
    return sample_picture(picture, sides.beside(grid_right, grid_y), grid_y, lab=lab)


def _wood_colour(picture: Rectified, sides: Sides) -> Floats:
    """Lab of bare wood, shape (3,): what most of the straight part shows."""
    y = np.arange(sides.y0 + _WOOD_MM[0], sides.y0 + _WOOD_MM[1], 2.0)
    right = np.arange(-0.6 * sides.half, 0.6 * sides.half, 2.0)
    return np.median(_sample_beside(picture, sides, right, y, lab=True).reshape(-1, 3), axis=0)


def _find_toe(picture: Rectified, sides: Sides, wood: Floats, room_mm: Box) -> float | None:
    """Y of the toe on the centre line: where wood ends, last seen from below."""
    y = np.arange(sides.y0, room_mm[3], 0.5)
    right = np.arange(-0.3 * sides.half, 0.3 * sides.half, 1.0)
    away = np.linalg.norm(_sample_beside(picture, sides, right, y, lab=True) - wood, axis=2)
    plain = np.nonzero((away < _PLAIN_DE).mean(axis=1) > _PLAIN_SHARE)[0]
    if not len(plain) or plain[-1] >= len(y) - 2:
        return None
    guess = float(y[plain[-1]])
    found = edges_along(picture, sides.beside(right, guess), guess, _TOE_REACH_MM)
    return float(np.nanmedian(found)) if np.isfinite(found).mean() > _LEAST_SEEN else None


def _find_grip(
    picture: Rectified, sides: Sides, handle_mm: float, expected: float
) -> tuple[float, float] | None:
    """Y of the grip's end on the centre line, and its standard uncertainty.

    The first strong step from something else to wood, coming down the handle.
    """
    top = max(expected - _GRIP_REACH_MM, picture.y0_mm + 1.0)
    y = np.arange(top, expected + _GRIP_REACH_MM, 0.5)
    right = np.arange(-_GRIP_SHARE * handle_mm, _GRIP_SHARE * handle_mm, 0.5)
    profile = np.median(_sample_beside(picture, sides, right, y), axis=1)
    below = np.arange(expected, expected + 2.0 * _GRIP_REACH_MM, 1.0)  # where the handle is let in
    wood = np.median(_sample_beside(picture, sides, right, below).reshape(-1, 3), axis=0)
    away = np.linalg.norm(profile - wood, axis=1)
    drop = np.array(
        [away[k - 6 : k - 1].mean() - away[k + 1 : k + 6].mean() for k in range(6, len(y) - 6)]
    )
    if not len(drop) or drop.max() < LEAST_STEP:
        return None
    first = int(np.nonzero(drop >= _GRIP_STEP * drop.max())[0][0])
    peak = first + int(drop[first : first + 8].argmax())
    guess = float(y[peak + 6])
    found = edges_along(picture, sides.beside(right, guess), guess, _GRIP_EDGE_MM)
    good = np.isfinite(found)
    if good.mean() < _LEAST_SEEN:
        return None
    fit, sd = fit_line(right[good], found[good])
    return float(fit[1]), float(sd[1])
