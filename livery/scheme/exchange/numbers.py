"""Numbers as instruments write them: strictly, with one decimal mark a file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal

import numpy as np

from livery.colour import Floats, is_surface
from livery.scheme.exchange.model import Unit
from livery.scheme.fields import BRIGHTEST, DARKEST

_POINT = re.compile(r"[+-]?(?:\d++\.?\d*+|\.\d++)(?:[eE][+-]?\d{1,3})?", re.ASCII)
_COMMA = re.compile(r"[+-]?(?:\d++,\d*+|,\d++)(?:[eE][+-]?\d{1,3})?", re.ASCII)

_DARKEST_MEAN = 0.2
"""Mean reflectance in percent below which no printed surface lies. Source: workshop-choice."""


def parse_numbers(tokens: Iterable[str]) -> list[Decimal] | str:
    """Numbers of a file, all with the same decimal mark.

    Returns:
        The numbers, exactly as written; or what is wrong, in words.
    """
    numbers: list[Decimal] = []
    marks: set[str] = set()
    for token in tokens:
        if _POINT.fullmatch(token):
            marks.update("." if "." in token else "")
            numbers.append(Decimal(token))
        elif _COMMA.fullmatch(token):
            marks.add(",")
            numbers.append(Decimal(token.replace(",", ".")))
        else:
            return f"{token[:40]!r} is not a number"
    if len(marks) > 1:
        return "decimal points and decimal commas are mixed"
    return numbers


def decide_unit(spectra: Sequence[Sequence[Decimal]], stated: Unit | None) -> Unit | str | None:
    """Whether reflectances are percent or unit, from all spectra of one file.

    Args:
        spectra: at least one, as written.
        stated: what the file or the user says.

    Returns:
        The unit; what is wrong, in words; or None where both could be meant.

    Source:
        [source: cxf-3] for the bounds of a reflectance factor
    """
    values = np.array([[float(value) for value in row] for row in spectra], dtype=np.float64)
    unit = values.min() > DARKEST and values.max() < BRIGHTEST
    percent = values.min() > 100 * DARKEST and values.max() < 100 * BRIGHTEST
    if stated is not None:
        if unit if stated is Unit.UNIT else percent:
            return stated
        least = DARKEST if stated is Unit.UNIT else 100 * DARKEST
        wrong = values.min() if values.min() <= least else values.max()
        return f"a reflectance of {wrong:g} cannot be {stated}"
    percent = percent and values.mean(axis=1).min() >= _DARKEST_MEAN
    if unit and percent:
        return None
    if unit or percent:
        return Unit.UNIT if unit else Unit.PERCENT
    return f"reflectances from {values.min():g} to {values.max():g} are neither percent nor unit"


def as_factor(row: Sequence[Decimal], unit: Unit) -> Floats:
    """Reflectances as written to reflectance factors; the digits stay."""
    shift = -2 if unit is Unit.PERCENT else 0
    return np.array([float(value.scaleb(shift)) for value in row], dtype=np.float64)


def check_wavelengths(wavelengths: Sequence[float]) -> str:
    """What is wrong with wavelengths; "" if they rise evenly over the visible range."""
    waves = np.asarray(wavelengths, dtype=np.float64)
    if waves.size < 4:
        return f"a spectrum of {waves.size} wavelengths is too short"
    if not np.isfinite(waves).all():
        return "its wavelengths are not all finite numbers"
    step = (waves[-1] - waves[0]) / (waves.size - 1)
    even = waves[0] + step * np.arange(waves.size)
    # Instruments that step by a third of 10 nm write whole nanometres: half of one may be lost.
    if step <= 0 or np.abs(waves - even).max() > 0.51:
        return f"its wavelengths, {waves[0]:g} to {waves[-1]:g} nm, do not rise by even steps"
    if not 0.9 <= step <= 20.0:
        return f"its wavelengths are {step:g} nm apart; 1 to 20 nm can be read"
    if waves[0] > 400.0 or waves[-1] < 700.0:
        return f"its wavelengths, {waves[0]:g} to {waves[-1]:g} nm, leave out part of 400 to 700"
    return ""


def check_lab(lab: Sequence[float]) -> str:
    """What is wrong with a Lab colour; "" if it can be that of a surface."""
    if is_surface(lab):
        return ""
    return "Lab {:g}, {:g}, {:g} is no colour of a surface".format(*lab)
