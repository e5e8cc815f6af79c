"""Where an ink's aim lies beside what the press prints: a slice of its gamut at the aim's L*."""

from __future__ import annotations

import numpy as np

from livery.colour import gamut_slice
from livery.drawing import (
    Anchor,
    Drawing,
    Element,
    Label,
    LabPaint,
    Layer,
    LayerKind,
    Page,
    Shape,
    Stroke,
)
from livery.geometry import Path
from livery.scheme.model import Ink, PrintProfile
from livery.sheet.builds import Build

WIDTH_MM, HEIGHT_MM = 150.0, 100.0
_MIDDLE_MM = (50.0, 50.0)
_HALF_MM = 44.0
_LEAST_REACH = 60.0
_STEP = 20.0
_INK, _SOFT, _FAINT = (LabPaint((lightness, 0.0, -2.0)) for lightness in (18.0, 50.0, 88.0))
_WITHIN = LabPaint((95.5, 0.0, 2.0))


def gamut_drawing(ink: Ink, build: Build, profile: PrintProfile) -> Drawing:
    """A picture of one ink's aim and of the nearest colour the press prints.

    Sizes are a workshop choice.
    """
    edge = gamut_slice(profile.press, ink.lab[0], profile.most_ink)
    points = [*edge, ink.lab[1:], build.lab[1:]]
    reach = max(_LEAST_REACH, 1.08 * float(np.abs(np.array(points)).max()))
    scale = _HALF_MM / reach
    elements = _axes(scale, reach)
    if len(edge):
        outline = Path.polyline([_at(point, scale) for point in edge])
        elements.append(Shape(outline, _WITHIN, Stroke(_SOFT, 0.3), name="press gamut"))
    elements += _axis_lines(scale, reach)
    elements += _points(ink, build, scale)
    elements += _words(ink, build, profile, printable=bool(len(edge)))
    page = Page(
        WIDTH_MM, HEIGHT_MM, (Layer("gamut", LayerKind.INFORMATION, tuple(elements)),), ink.name
    )
    return Drawing(f"{ink.name} in the press's gamut", (page,))


def _at(
    point: tuple[float, ...] | np.ndarray[tuple[int], np.dtype[np.float64]], scale: float
) -> tuple[float, float]:
    return _MIDDLE_MM[0] + scale * float(point[0]), _MIDDLE_MM[1] + scale * float(point[1])


def _axes(scale: float, reach: float) -> list[Element]:
    box = Path.rectangle(*_at((-reach, -reach), scale), *_at((reach, reach), scale))
    return [Shape(box, None, Stroke(_FAINT, 0.2), name="frame")]


def _axis_lines(scale: float, reach: float) -> list[Element]:
    elements: list[Element] = []
    for axis in (0, 1):
        ends = [tuple(sign * reach * (axis == k) for k in (0, 1)) for sign in (-1.0, 1.0)]
        line = Path.polyline([_at(end, scale) for end in ends], closed=False)
        elements.append(Shape(line, None, Stroke(_FAINT, 0.15)))
        for value in np.arange(-(reach // _STEP) * _STEP, reach, _STEP):
            if value:
                x, y = _at((value, 0.0) if axis == 0 else (0.0, value), scale)
                words = f"{value:g}".replace("-", "−")
                elements.append(Label(words, x, y - 2.4, 4.5, _SOFT, Anchor.MIDDLE))
    for words, end, rise in (("a*", (reach, 0.0), 1.2), ("b*", (0.0, reach), -2.6)):
        x, y = _at(end, scale)
        elements.append(Label(words, x - 0.8, y + rise, 5.5, _INK, Anchor.END))
    return elements


def _points(ink: Ink, build: Build, scale: float) -> list[Element]:
    aim, near = _at(ink.lab[1:], scale), _at(build.lab[1:], scale)
    line = Path.polyline([aim, near], closed=False)
    return [
        Shape(line, None, Stroke(_INK, 0.3, (0.8, 0.8)), name="distance"),
        Shape(Path.circle(*near, 1.3), LabPaint(build.lab), Stroke(_INK, 0.3), name="nearest"),
        Shape(Path.circle(*aim, 2.1), None, Stroke(_INK, 0.45), name="aim"),
    ]


def _words(ink: Ink, build: Build, profile: PrintProfile, *, printable: bool) -> list[Element]:
    x, y = 103.0, 90.0
    elements: list[Element] = [Label(ink.name, x, y, 11.0, _INK, font="display")]
    swatches = (("aim", ink.lab), ("nearest in print", build.lab))
    for place, (name, lab) in enumerate(swatches):
        left = x + 21.0 * place
        box = Path.rectangle(left, 66.0, left + 21.0, 82.0)
        elements.append(Shape(box, LabPaint(lab), name=f"swatch {name}"))
        elements.append(Label(name, left, 83.2, 5.0, _SOFT))
        numbers = " / ".join(f"{value:.1f}".replace("-", "−") for value in lab)
        elements.append(Label(numbers, left, 62.8, 5.0, _INK))
    verdict = "in gamut" if build.in_gamut else "out of gamut"
    lines = [
        f"ΔE00 {build.de00:.2f}: {verdict}",
        f"C/M/Y/K {build.words} %",
        f"{profile.output_condition}, ink at most {profile.most_ink:.0%}".replace("%", " %"),
        f"Grey area: what prints at L* {ink.lab[0]:.1f}"
        if printable
        else f"Nothing prints at L* {ink.lab[0]:.1f}",
        "Ring: the aim. Disc: nearest in print.",
    ]
    for number, line in enumerate(lines):
        font = "text-bold" if number == 0 else "text"
        elements.append(Label(line, x, 55.0 - 4.2 * number, 6.5, _INK, font=font))
    return elements
