"""Lengths in mm, and the only conversions between units in the project."""

from __future__ import annotations

import math
import re
import reprlib

MM_PER_INCH = 25.4  # exact (international inch, 1959)
PT_PER_INCH = 72.0  # PDF user space, ISO 32000-1 8.3.2.3
MM_PER_PT = MM_PER_INCH / PT_PER_INCH
GRAMS_PER_OUNCE = 28.349523125  # exact (avoirdupois pound, 1959)

_MICRO, _GREEK_MU = "\u00b5", "\u03bc"  # keyboards have either; they look alike
_MM_PER_UNIT = {
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
    "in": MM_PER_INCH,
    "pt": MM_PER_PT,
    "mil": MM_PER_INCH / 1000,  # films are sold by it
    f"{_MICRO}m": 0.001,
    "um": 0.001,
    "micron": 0.001,
}
_LENGTH = re.compile(
    rf"\s*+([-+]?(?:\d++\.?\d*+|\.\d++)(?:[eE][-+]?\d++)?)\s*+([a-zA-Z{_MICRO}]*+)\s*+", re.ASCII
)


def parse_length_mm(value: object) -> float:
    """Read a length: a bare number is mm, a string may carry its unit.

    Units are mm, cm, m, in, pt, mil (a thousandth of an inch, never a millimetre) and µm, which
    is also written um or micron.

    Args:
        value: ``108``, ``"108 mm"``, ``"4.25 in"``, ``"3 mil"``.

    Returns:
        The length in mm.

    Raises:
        ValueError: not a number, not finite, or a unit not in the list; the text says which.
    """
    if isinstance(value, bool):
        raise ValueError("true or false is not a length")
    if isinstance(value, int | float):
        length = _as_float(value)
    elif isinstance(value, str):
        match = _LENGTH.fullmatch(value.replace(_GREEK_MU, _MICRO))
        if match is None:
            raise ValueError(f"{_shown(value)} is not a length")
        number, unit = match.groups()
        if unit and unit not in _MM_PER_UNIT:
            raise ValueError(f"unit {_shown(unit)} is not one of {', '.join(_MM_PER_UNIT)}")
        length = float(number) * _MM_PER_UNIT[unit or "mm"]
    else:
        raise ValueError(f"{_shown(value)} is not a length")
    if not abs(length) < 1e6:
        raise ValueError(f"{_shown(value)} is not a usable length")
    return length


def _as_float(number: float) -> float:
    """A number as a float; whole numbers beyond any float are infinite."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _shown(value: object) -> str:
    """A value as a message quotes it, at most 60 characters."""
    text = reprlib.repr(value) if not isinstance(value, str) else repr(value[:60])
    return text if len(text) <= 60 else f"{text[:57]}..."


def mm_to_pt(mm: float) -> float:
    """Millimetres to PDF points."""
    return mm / MM_PER_PT


def pt_to_mm(pt: float) -> float:
    """PDF points to millimetres."""
    return pt * MM_PER_PT


def mm_to_inch(mm: float) -> float:
    """Millimetres to inches."""
    return mm / MM_PER_INCH


def format_mm_and_inch(mm: float) -> str:
    """A limit as the trade reads it: ``228.60 mm (9.000 in)``."""
    return f"{mm:.2f} mm ({mm_to_inch(mm):.3f} in)"


def parse_weight_g(value: object) -> float:
    """Read a weight: ``"2 lb 9 oz"``, ``"1160 g"`` or a bare number of grams.

    Raises:
        ValueError: not such a weight; the text says what is allowed.
    """
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _as_float(value)
    text = value if isinstance(value, str) else ""
    if match := re.fullmatch(r"\s*(\d{1,9}(?:\.\d+)?)\s*g\s*", text, re.ASCII):
        return float(match[1])
    if match := re.fullmatch(
        r"\s*(\d{1,9})\s*lb(?:\s*(\d{1,9}(?:\.\d+)?)\s*oz)?\s*", text, re.ASCII
    ):
        return (int(match[1]) * 16 + float(match[2] or 0)) * GRAMS_PER_OUNCE
    raise ValueError(f"{_shown(value)} is not a weight such as '2 lb 9 oz' or '1160 g'")


def format_lb_oz(grams: float) -> str:
    """Grams as the trade reads a bat: ``2 lb 9 oz``, to the nearest quarter ounce."""
    quarters = round(grams / GRAMS_PER_OUNCE * 4)
    pounds, quarters = divmod(quarters, 64)
    return f"{pounds} lb {quarters / 4:g} oz"


def format_count(number: int, noun: str) -> str:
    """``1 sheet``, ``2,500 sheets``: of a noun whose plural ends in s."""
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
