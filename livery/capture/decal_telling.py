"""A found decal against where it should be: offset, uncertainty, and how it was put on."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from livery.capture.blade_finding import BladeFind
from livery.capture.decal_choice import Found
from livery.capture.flaws import find_flaws
from livery.capture.position_model import DecalFind, Difference, Offset, Positions, Standing
from livery.capture.rails import RailsLie
from livery.geometry import Affine
from livery.placement import Placement

Floats = NDArray[np.float64]
# What rectifying and sampling leave, at best. [source: workshop-choice]
_KNOWN_MM = 0.04
_KNOWN_DEG = 0.02
_EDGES_MM = 0.1  # both edges of a decal together, softened by the camera


def tell_decal(
    placement: Placement,
    expected: Affine,
    one: Found,
    blade: BladeFind,
    lie: RailsLie,
    base: Positions,
) -> tuple[DecalFind, Difference | None]:
    """What is to be said of one placement, and its difference from the artwork.

    Args:
        placement: as laid out.
        expected: where it should be, the decal's frame to the face's.
        one: what was found of it.
        blade: where the face lies.
        lie: how the rails lie.
        base: the tolerances.
    """
    decal = placement.decal
    if one.laid is None or one.raster is None:
        lost = DecalFind(
            placement.key, decal.name, Standing.MISSING, expected, None, None, one.likeness
        )
        return lost, None
    to_surface = blade.affine.inverse()
    found = to_surface @ one.laid.affine
    size_mm = (decal.width_mm * placement.scale, decal.height_mm * placement.scale)
    upright = found @ one.look.affine.inverse()
    offset = _offset(expected, upright, one.laid.cov, size_mm, blade, lie)
    flaws, difference = find_flaws(one.raster, one.laid, to_surface)
    again = tuple(to_surface @ affine for affine in one.again)
    standing, note = _standing(one, expected, found, offset, base)
    told = DecalFind(
        placement.key,
        decal.name,
        standing,
        expected,
        found,
        offset,
        one.laid.likeness,
        again,
        flaws,
        note,
    )
    return told, difference


def _standing(
    one: Found, expected: Affine, found: Affine, offset: Offset, base: Positions
) -> tuple[Standing, str]:
    """How a decal was put on, and what is to be noted of it."""
    if one.look.mirrored:
        return Standing.WRONG_HAND, one.note
    if one.look.upside_down:
        return Standing.UPSIDE_DOWN, one.note
    if one.again:
        return Standing.DOUBLED, one.note
    if offset.away_mm <= base.tolerance_mm and abs(offset.turn_deg) <= base.tolerance_deg:
        return Standing.IN_PLACE, one.note
    if _is_other_hands(expected, found, base.tolerance_mm):
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
    """A decal against where it should be; its uncertainty with the blade's and the rails'."""
    linear = (
        Affine(found.a, found.b, found.c, found.d)
        @ Affine(expected.a, expected.b, expected.c, expected.d).inverse()
    )
    clockwise = math.atan2(linear.b - linear.c, linear.a + linear.d)
    sizes = [
        math.hypot(*f) / math.hypot(*e)
        for f, e in (
            ((found.a, found.b), (expected.a, expected.b)),
            ((found.c, found.d), (expected.c, expected.d)),
        )
    ]
    turning = math.radians(blade.turn_sd_deg)
    own = np.sqrt(np.maximum(np.diag(cov), 0.0))
    size = math.sqrt(abs(found.determinant))
    markers = max(len(lie.target.markers), 1)
    rails = math.hypot(lie.plane.residual_mm / math.sqrt(markers), _KNOWN_MM)
    x_sd = math.hypot(float(own[0]) * size, blade.x_sd_mm, rails, turning * found.f)
    y_sd = math.hypot(float(own[1]) * size, blade.y_sd_mm, rails, turning * found.e)
    turn_sd = math.hypot(math.degrees(float(own[2])), blade.turn_sd_deg, _KNOWN_DEG)
    return Offset(
        found.e - expected.e,
        found.f - expected.f,
        -math.degrees(clockwise),
        sizes[0],
        sizes[1],
        *(1.96 * sd for sd in (x_sd, y_sd, turn_sd)),
        *(
            1.96 * math.hypot(float(sd), _EDGES_MM / mm)
            for sd, mm in zip(own[3:], size_mm, strict=True)
        ),
    )
