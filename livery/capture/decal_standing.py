"""A found decal against where it should be: offset, uncertainty, and how it was put on."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from livery.capture.blade_finding import BladeFind
from livery.capture.decal_choice import Found
from livery.capture.flaws import find_flaws
from livery.capture.position_model import DecalFind, Difference, Offset, Standing
from livery.capture.rails import RailsLie
from livery.colour import Floats
from livery.geometry import Affine
from livery.placement import Placement

# Standard uncertainties that are there at best. [source: workshop-choice]
_KNOWN_MM, _KNOWN_DEG = 0.04, 0.02  # of place and turn, by rectifying and sampling
_EDGES_MM = 0.1  # both edges of a decal together, softened by the camera
_U95 = 1.96  # standard deviations to either side that hold 95 % of a normal distribution


def judge_decal(
    placement: Placement,
    expected: Affine,
    one: Found,
    blade: BladeFind,
    lie: RailsLie,
    tolerance: tuple[float, float],
) -> tuple[DecalFind, Difference | None]:
    """What is to be said of one placement, and its difference from the artwork.

    Args:
        placement: as laid out.
        expected: where it should be, the decal's frame to the face's.
        one: what was found of it.
        blade: where the face lies.
        lie: how the rails lie.
        tolerance: from where it counts as moved: mm, and degrees of turn.

    Returns:
        The placement as found; no difference where it is missing.
    """
    decal = placement.decal
    missing = DecalFind(
        placement.key, decal.name, Standing.MISSING, expected, None, None, one.likeness
    )
    if one.laid is None:
        return missing, None
    to_surface = blade.affine.inverse()
    found = to_surface @ one.laid.affine
    size_mm = (decal.width_mm * placement.scale, decal.height_mm * placement.scale)
    upright = found @ one.look.affine.inverse()
    offset = _offset(expected, upright, one.laid.cov, size_mm, blade, lie)
    flaws, difference = find_flaws(one.raster, one.laid, to_surface)
    standing, note = _standing(one, expected, found, offset, tolerance)
    told = replace(
        missing,
        standing=standing,
        found=found,
        offset=offset,
        again=tuple(to_surface @ affine for affine in one.again),
        flaws=flaws,
        note=note,
    )
    return told, difference


def _standing(
    one: Found, expected: Affine, found: Affine, offset: Offset, tolerance: tuple[float, float]
) -> tuple[Standing, str]:
    """How a decal was put on, and what is to be noted of it."""
    if one.look.mirrored:
        return Standing.WRONG_HAND, one.note
    if one.look.upside_down:
        return Standing.UPSIDE_DOWN, one.note
    if one.again:
        return Standing.DOUBLED, one.note
    if offset.away_mm <= tolerance[0] and abs(offset.turn_deg) <= tolerance[1]:
        return Standing.IN_PLACE, one.note
    if _is_other_hands(expected, found, tolerance[0]):
        return Standing.WRONG_HAND, "stands where the other hand's would"
    return Standing.MOVED, one.note


def _is_other_hands(expected: Affine, found: Affine, tolerance_mm: float) -> bool:
    """Whether a decal stands where the other hand's would."""
    if abs(expected.e) <= 2.0 * tolerance_mm:
        return False
    away = math.hypot(found.e + expected.e, found.f - expected.f)
    return away < min(abs(expected.e), 4.0 * tolerance_mm)


def _offset(
    expected: Affine,
    found: Affine,
    cov: Floats,
    size_mm: tuple[float, float],
    blade: BladeFind,
    lie: RailsLie,
) -> Offset:
    """A decal, upright and not mirrored, against where it should be."""
    linear = found.linear @ expected.linear.inverse()
    clockwise = math.atan2(linear.b - linear.c, linear.a + linear.d)
    across = math.hypot(found.a, found.b) / math.hypot(expected.a, expected.b)
    along = math.hypot(found.c, found.d) / math.hypot(expected.c, expected.d)
    return Offset(
        found.e - expected.e,
        found.f - expected.f,
        -math.degrees(clockwise),
        across,
        along,
        *(_U95 * sd for sd in _spreads(found, cov, size_mm, blade, lie)),
    )


def _spreads(
    found: Affine, cov: Floats, size_mm: tuple[float, float], blade: BladeFind, lie: RailsLie
) -> tuple[float, float, float, float, float]:
    """Standard uncertainties of x and y, mm, turn, degrees, and both sizes.

    Those of the blade's place and turn and of the rails are counted in.
    """
    own = np.sqrt(np.maximum(np.diag(cov), 0.0)).tolist()
    size = math.sqrt(abs(found.determinant))
    turning = math.radians(blade.turn_sd_deg)
    rails = math.hypot(lie.plane.residual_mm / math.sqrt(len(lie.target.markers)), _KNOWN_MM)
    return (
        math.hypot(own[0] * size, blade.x_sd_mm, rails, turning * found.f),
        math.hypot(own[1] * size, blade.y_sd_mm, rails, turning * found.e),
        math.hypot(math.degrees(own[2]), blade.turn_sd_deg, _KNOWN_DEG),
        math.hypot(own[3], _EDGES_MM / size_mm[0]),
        math.hypot(own[4], _EDGES_MM / size_mm[1]),
    )
