"""Marks in the registration colour: they print on every plate, clear of every decal."""

from __future__ import annotations

import math

from livery.artwork.typesetting import cut_line
from livery.drawing import Anchor, Element, Label, Registration, Shape, Stroke
from livery.geometry import Path
from livery.scheme.model import CutterMark, PrintProfile
from livery.sheet.frame import CLEARANCE_MM, CODE_MM, RULE_MM, Frame, outer_mark_mm
from livery.units import pt_to_mm

_ARM_MM = 5.0
_BRACKET_SHARE = 0.25
_TICK_MM = 10.0
_LABEL_PT = 4.5


def draw_marks(profile: PrintProfile, frame: Frame) -> list[Element]:
    """Crosses, corner marks, the cutter's marks and the check rule."""
    line = Stroke(Registration(), pt_to_mm(profile.cross_line_pt))
    elements: list[Element] = []
    for x, y in frame.crosses:
        elements += _cross(x, y, profile.cross_mm, line)
    elements += _corners(frame, line)
    elements += _cutter_marks(profile, frame)
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


def cutter_spots(profile: PrintProfile, frame: Frame) -> list[tuple[float, float]]:
    """Middles of the cutter's marks, mm: pairs up both sides, at most the pitch apart.

    One more at the lower left tells the way round. Where a pair would touch the middle crosses
    the pairs stand closer, so that none does.
    """
    if profile.cutter_mark is CutterMark.NONE:
        return []
    size, (x0, y0, x1, y1) = profile.cutter_mark_mm, frame.usable
    left, right = x0 - CLEARANCE_MM - size / 2.0, x1 + CLEARANCE_MM + size / 2.0
    inset = outer_mark_mm(profile, y1 - y0)
    low, high = y0 + inset, y1 - inset
    middle = next((y for x, y in frame.crosses if y0 < y < y1), None)
    apart = (size + profile.cross_mm) / 2.0 + CLEARANCE_MM
    fewest = max(1, math.ceil((high - low) / profile.cutter_pitch_mm))
    for count in (fewest, fewest + 1):
        heights = [low + (high - low) * i / count for i in range(count + 1)]
        fine = [y for y in heights if middle is None or abs(y - middle) > apart]
        if fine == heights:
            break
    return [*((x, y) for y in fine for x in (left, right)), (left, low + 2.0 * size)]


def _cutter_marks(profile: PrintProfile, frame: Frame) -> list[Element]:
    half = profile.cutter_mark_mm / 2.0
    shapes = {CutterMark.DISC: _disc, CutterMark.SQUARE: _square, CutterMark.CORNER: _bracket}
    middle = (frame.usable[0] + frame.usable[2]) / 2.0, (frame.usable[1] + frame.usable[3]) / 2.0
    return [
        Shape(
            shapes[profile.cutter_mark](x, y, half, (x < middle[0], y < middle[1])),
            Registration(),
            name="cutter",
        )
        for x, y in cutter_spots(profile, frame)
    ]


def _disc(x: float, y: float, half: float, _: tuple[bool, bool]) -> Path:
    return Path.circle(x, y, half)


def _square(x: float, y: float, half: float, _: tuple[bool, bool]) -> Path:
    return Path.rectangle(x - half, y - half, x + half, y + half)


def _bracket(x: float, y: float, half: float, low_left: tuple[bool, bool]) -> Path:
    """A right angle whose corner points away from the sheet's middle."""
    across, up = (1.0 if low else -1.0 for low in low_left)
    arm = 2.0 * half
    bar = _BRACKET_SHARE * arm
    corner = (x - across * half, y - up * half)
    steps = ((0, 0), (arm, 0), (arm, bar), (bar, bar), (bar, arm), (0, arm))
    return Path.polyline([(corner[0] + across * i, corner[1] + up * j) for i, j in steps])


def rule_box(frame: Frame) -> tuple[float, float, float]:
    """Start, end and height of the check rule: 100 mm, or what narrow stock has room for.

    It keeps clear of the code and of the middle cross; 50 mm, or else whole centimetres.
    """
    beside = frame.code[1] < frame.row[3]
    start = frame.row[0] + (CODE_MM + 2.0 * CLEARANCE_MM if beside else 0.0)
    room = _rule_end(frame) - start
    halves = room // (RULE_MM / 2.0) * (RULE_MM / 2.0) or room // _TICK_MM * _TICK_MM
    return start, start + min(max(halves, 0.0), RULE_MM), frame.row[1] + CLEARANCE_MM


def _rule_end(frame: Frame) -> float:
    """Where the middle cross has its room."""
    return frame.width_mm / 2.0 - (frame.row[3] - frame.row[1]) / 2.0


def _rule(frame: Frame, line: Stroke) -> list[Element]:
    start, end, y = rule_box(frame)
    if end <= start:
        return []
    marks: list[Element] = [_line(start, y, end, y, line, "rule")]
    for number in range(round((end - start) / _TICK_MM) + 1):
        tall = 3.0 if number % 5 == 0 else 1.8
        x = start + number * _TICK_MM
        marks.append(_line(x, y, x, y + tall, line, "rule"))
    words = f"{end - start:g} mm: measure before cutting"
    words = cut_line(words, "text", _LABEL_PT, _rule_end(frame) - start - 1.0)
    marks.append(Label(words, start + 1.0, y + 3.6, _LABEL_PT, Registration(), Anchor.START))
    return marks
