"""Marks in the registration colour: they print on every plate, clear of every decal."""

from __future__ import annotations

import math

from livery.drawing import Anchor, Element, Label, Registration, Shape, Stroke
from livery.geometry import Path
from livery.scheme.model import PrintProfile
from livery.sheet.frame import CLEARANCE_MM, CODE_MM, RULE_MM, Frame
from livery.units import pt_to_mm

_ARM_MM = 5.0
_CUTTER_DISC_MM = 5.0
_CUTTER_INSET_MM = 9.0
_CUTTER_PITCH_MM = 400.0
_TICK_MM = 10.0
_LABEL_PT = 4.5


def draw_marks(profile: PrintProfile, frame: Frame) -> list[Element]:
    """Crosses, corner marks, the cutter's discs and the check rule."""
    line = Stroke(Registration(), pt_to_mm(profile.cross_line_pt))
    elements: list[Element] = []
    for x, y in frame.crosses:
        elements += _cross(x, y, profile.cross_mm, line)
    elements += _corners(frame, line)
    elements += _cutter_discs(frame)
    elements += _rule(frame, line)
    return elements


def _line(x0: float, y0: float, x1: float, y1: float, stroke: Stroke, name: str) -> Shape:
    return Shape(Path.polyline([(x0, y0), (x1, y1)], closed=False), stroke=stroke, name=name)


def _cross(x: float, y: float, size: float, line: Stroke) -> list[Element]:
    half = size / 2.0
    return [
        _line(x - half, y, x + half, y, line, "cross"),
        _line(x, y - half, x, y + half, line, "cross"),
        Shape(Path.circle(x, y, size / 3.0), stroke=line, name="cross"),
    ]


def _corners(frame: Frame, line: Stroke) -> list[Element]:
    """Corners of the area that holds decals, outside it; below it the band leaves no room."""
    x0, y0, x1, y1 = frame.usable
    gap = CLEARANCE_MM
    marks: list[Element] = []
    for x, out in ((x0, -1.0), (x1, 1.0)):
        for y in (y0, y1):
            marks.append(_line(x + out * gap, y, x + out * (gap + _ARM_MM), y, line, "corner"))
        marks.append(_line(x, y1 + gap, x, y1 + gap + _ARM_MM, line, "corner"))
    return marks


def _cutter_discs(frame: Frame) -> list[Element]:
    """Discs for the cutter's eye up both sides; one more at the lower left tells the way round.

    Source: disc, inset and pitch [source: workshop-choice].
    """
    x0, y0, x1, y1 = frame.usable
    left = x0 - CLEARANCE_MM - _CUTTER_DISC_MM / 2.0
    right = x1 + CLEARANCE_MM + _CUTTER_DISC_MM / 2.0
    low, high = y0 + _CUTTER_INSET_MM, y1 - _CUTTER_INSET_MM
    count = max(1, math.ceil((high - low) / _CUTTER_PITCH_MM))
    heights = [low + (high - low) * i / count for i in range(count + 1)]
    middle = next((y for x, y in frame.crosses if y0 < y < y1), None)
    spots = [(x, y) for y in heights if _clear(y, middle) for x in (left, right)]
    spots.append((left, low + 2.0 * _CUTTER_DISC_MM))
    return [
        Shape(Path.circle(x, y, _CUTTER_DISC_MM / 2.0), Registration(), name="cutter")
        for x, y in spots
    ]


def _clear(y: float, middle: float | None) -> bool:
    return middle is None or abs(y - middle) > _CUTTER_DISC_MM * 2.0


def rule_box(frame: Frame) -> tuple[float, float, float]:
    """Start, end and height of the check rule: 100 mm, or 50 mm on narrow stock."""
    start = frame.row[0] + CODE_MM + 2.0 * CLEARANCE_MM
    middle = frame.width_mm / 2.0 - 6.0
    length = RULE_MM if start + RULE_MM <= middle else RULE_MM / 2.0
    return start, start + length, frame.row[1] + CLEARANCE_MM


def _rule(frame: Frame, line: Stroke) -> list[Element]:
    start, end, y = rule_box(frame)
    marks: list[Element] = [_line(start, y, end, y, line, "rule")]
    for number in range(round((end - start) / _TICK_MM) + 1):
        tall = 3.0 if number % 5 == 0 else 1.8
        x = start + number * _TICK_MM
        marks.append(_line(x, y, x, y + tall, line, "rule"))
    words = f"{end - start:g} mm: measure before cutting"
    marks.append(Label(words, start + 1.0, y + 3.6, _LABEL_PT, Registration(), Anchor.START))
    return marks
