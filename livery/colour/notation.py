"""Aims in the notations people bring them in, by colormath.

Only the conversions that agree with an independent library are used: Lab, LCh, xyY, XYZ and
sRGB to Lab. XYZ is read on the scale Y = 1; D50 or D65 with the 2° observer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from livery.colour.arrays import Floats, as_triples
from livery.errors import ColourError

NOTATIONS = ("lab", "lch", "xyy", "xyz", "srgb")
_WHITES = ("d50", "d65")


def colour_from_words(notation: str, values: ArrayLike, white: str = "d50") -> Floats:
    """An aim given in a common notation, as CIELAB under D50.

    Args:
        notation: ``lab``, ``lch`` (h in degrees), ``xyy``, ``xyz`` (Y = 1 for white) or ``srgb``
            (0..1, always under its own white).
        values: the three numbers.
        white: ``d50`` or ``d65``: what the numbers were reckoned under, 2° observer; adapted to
            D50 by Bradford's transform.

    Returns:
        L*, a*, b* under D50/2°, shape (3,).

    Raises:
        ColourError: an unknown notation or white, or numbers outside their range.

    Source:
        colormath, bradford
    """
    if notation not in NOTATIONS:
        raise ColourError(f"notation {notation!r} is not one of {', '.join(NOTATIONS)}.")
    if white not in _WHITES:
        raise ColourError(f"white {white!r} is not one of {', '.join(_WHITES)}.")
    triple = as_triples(values, notation)
    if triple.shape != (3,):
        raise ColourError(f"{notation}: shape {triple.shape}. One colour is three numbers.")
    _check_range(notation, triple)
    from colormath.color_conversions import convert_color  # type: ignore[import-untyped] # has no types
    from colormath.color_objects import LabColor, XYZColor  # type: ignore[import-untyped] # has no types

    if notation == "xyy" and triple[1] == 0.0:
        return np.zeros(3)  # y = 0 with no luminance: black, where the conversion would divide
    # Adapted by hand in XYZ: a conversion's own target illuminant is not heeded on every path.
    xyz = convert_color(_colormath_value(notation, triple, white), XYZColor)
    xyz.apply_adaptation("d50")
    lab = convert_color(xyz, LabColor)
    return np.array(lab.get_value_tuple(), dtype=np.float64)


def _check_range(notation: str, triple: Floats) -> None:
    top = {"lab": 100.0, "lch": 100.0, "xyy": 1.0, "xyz": 1.0, "srgb": 1.0}[notation]
    first = {"xyy": triple[2:], "xyz": triple[1:2], "srgb": triple}.get(notation, triple[:1])
    if first.min() < 0.0 or first.max() > top:
        raise ColourError(
            f"{notation}: {tuple(float(v) for v in triple)} lies outside 0..{top:g}. "
            "Give XYZ and sRGB on a scale of 1, L* on a scale of 100."
        )
    if notation == "lch" and triple[1] < 0.0:
        raise ColourError(f"lch: chroma {triple[1]:g} is below zero.")
    if notation == "xyy" and (min(triple[:2]) < 0.0 or (triple[1] == 0.0 and triple[2] > 0.0)):
        raise ColourError("xyy: x and y of a colour with light are not below zero, nor y zero.")


def _colormath_value(notation: str, triple: Floats, white: str) -> object:
    from colormath import color_objects  # type: ignore[import-untyped] # has no types

    numbers = [float(v) for v in triple]
    if notation == "srgb":
        return color_objects.sRGBColor(*numbers)
    kinds = {"lab": "LabColor", "lch": "LCHabColor", "xyy": "xyYColor", "xyz": "XYZColor"}
    value: object = getattr(color_objects, kinds[notation])(
        *numbers, observer="2", illuminant=white
    )
    return value
