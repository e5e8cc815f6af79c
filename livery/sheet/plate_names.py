"""Every plate's name at a sheet's foot, dark, beside a swatch that prints on that plate alone.

A pale ink's name in its own ink could not be read. On a plate by itself the swatch shows the
ink's number in the control strip, or a process ink's letter, left out of it.

Source: sizes [source: workshop-choice].
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from livery.artwork.typesetting import cut_line, line_width_mm
from livery.drawing import Element, Label, Paint, Process, Shape, Spot
from livery.geometry import Path
from livery.scheme.model import Palette, PrintProfile, Prints
from livery.sheet.builds import PROCESS_NAMES, ink_paint
from livery.sheet.frame import Frame

_NAME_PT, _NUMBER_PT = 6.0, 4.5
_SWATCH_MM = (3.2, 2.0)
_LINE_MM = 2.6
_RISE_MM = 0.5  # from a swatch's foot to the baselines
_NEAR_MM, _APART_MM = 0.8, 2.5
_SHORTER_MM = 0.5
_LEAST_MM = 4.0  # of a name


@dataclass(frozen=True, slots=True)
class _Plate:
    """A plate with its ink, the same as no ink, and what stands for it on its swatch."""

    name: str
    paint: Paint
    bare: Paint
    number: str


def draw_plate_names(
    palette: Palette, profile: PrintProfile, inks: tuple[str, ...], frame: Frame, words: Paint
) -> list[Element]:
    """Names of all ink plates right of the bottom middle cross, in as many lines as the row has.

    Args:
        palette: the inks' names and aims.
        profile: how inks print.
        inks: keys of the run's inks in order.
        frame: the sheet's division.
        words: paint of the names.
    """
    plates = _plates(palette, profile, inks)
    x0, y0, x1, y1 = frame.row
    height = y1 - y0
    x0 = frame.width_mm / 2.0 + height / 2.0 + 1.0
    lines = max(int((height - _SWATCH_MM[1]) // _LINE_MM) + 1, 1)
    names, rows = _fit(plates, x1 - x0, lines)
    low = y0 + (height - _LINE_MM * (rows[-1] if rows else 0) - _SWATCH_MM[1]) / 2.0
    elements: list[Element] = []
    x, row = x0, 0
    for plate, name, at in zip(plates, names, rows, strict=True):
        x, row = (x0, at) if at != row else (x, row)
        elements += _entry(plate, name, x, low + _LINE_MM * (rows[-1] - row), words)
        x += _width_mm(name)
    return elements


def _plates(palette: Palette, profile: PrintProfile, inks: tuple[str, ...]) -> tuple[_Plate, ...]:
    """Each separation with its number in the control strip; then the process inks, if any."""
    plates: list[_Plate] = []
    for number, key in enumerate(inks, start=1):
        paint = ink_paint(palette, key, profile)
        if isinstance(paint, Spot):
            bare = replace(paint, tint=0.0)
            plates.append(_Plate(palette.ink(key).name, paint, bare, str(number)))
    if any(palette.ink(key).prints is Prints.PROCESS for key in inks):
        for place, name in enumerate(PROCESS_NAMES):
            solid = Process(*(float(place == other) for other in range(4)))
            plates.append(_Plate(name, solid, Process(0.0, 0.0, 0.0, 0.0), "CMYK"[place]))
    return tuple(plates)


@lru_cache(maxsize=16)
def _fit(plates: tuple[_Plate, ...], width: float, lines: int) -> tuple[list[str], list[int]]:
    """Names and the line of each, the longest names shortened until all have room."""
    names = [plate.name for plate in plates]
    most = max((line_width_mm(name, "text-bold", _NAME_PT) for name in names), default=0.0)
    rows = _flow(names, width)
    while most > _LEAST_MM and rows and rows[-1] >= lines:
        most -= _SHORTER_MM
        names = [cut_line(plate.name, "text-bold", _NAME_PT, most) for plate in plates]
        rows = _flow(names, width)
    return names, rows


def _flow(names: list[str], width: float) -> list[int]:
    """The line of each name, set like words."""
    rows: list[int] = []
    row, x = 0, 0.0
    for name in names:
        wide = _width_mm(name)
        if x > 0.0 and x + wide - _APART_MM > width:
            row, x = row + 1, 0.0
        rows.append(row)
        x += wide
    return rows


def _width_mm(name: str) -> float:
    return _SWATCH_MM[0] + _NEAR_MM + line_width_mm(name, "text-bold", _NAME_PT) + _APART_MM


def _entry(plate: _Plate, name: str, x: float, y: float, words: Paint) -> list[Element]:
    wide, high = _SWATCH_MM
    swatch = Path.rectangle(x, y, x + wide, y + high)
    number_x = x + (wide - line_width_mm(plate.number, "text-bold", _NUMBER_PT)) / 2.0
    return [
        Shape(swatch, plate.paint, name=f"plate {plate.name}"),
        Label(plate.number, number_x, y + _RISE_MM, _NUMBER_PT, plate.bare, font="text-bold"),
        Label(name, x + wide + _NEAR_MM, y + _RISE_MM, _NAME_PT, words, font="text-bold"),
    ]
