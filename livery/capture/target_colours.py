"""Which colours a target carries: neutrals for shading, the season's inks, and the gamut."""

from __future__ import annotations

import math
from collections.abc import Sequence

from livery.drawing import LabColour

# Every figure: [source: workshop-choice]
_NEUTRALS = (93.0, 80.0, 66.0, 51.0, 36.0, 20.0)  # L*
_SHARE_OF_NEUTRALS = 0.24  # of the cells
_LEAST_COPIES = 2  # of each neutral
# Round an ink, in L*, along its chroma and across it: lighter, darker, duller, to either side in
# hue; and the shares of these steps that are gone in turn.
_STEPS = ((7.0, 0.0, 0.0), (-7.0, 0.0, 0.0), (0.0, -9.0, 0.0), (0.0, 0.0, 9.0), (0.0, 0.0, -9.0))
_REACHES = (1.0, 0.5, 1.7)
_DARKEST, _LIGHTEST = 12.0, 95.0  # L* of such neighbours
_HUES = 10  # of each ring of the gamut
# The strong ring: L* in the mean, by how much more at what hue, as yellow inks are light and blue
# ones dark; C* at most, by how much less at what hue, as inks are weak towards cyan.
_STRONG_L, _STRONG_C = (60.0, 18.0, math.radians(100.0)), (55.0, 22.0, math.radians(200.0))
# Each paler ring: L*, C*, and where it begins, in steps of hue.
_PALER = ((78.0, 22.0, 0.5), (38.0, 26.0, 0.25))


def patch_colours(cells: int, inks: Sequence[LabColour]) -> tuple[LabColour, ...]:
    """Colours for that many cells, neutrals first, none left empty.

    Neutrals take about a quarter. Then come the inks, the gamut, the neighbours of each ink, and
    for cells still free the inks again: what a season uses is where a camera's error matters.

    Args:
        cells: how many patches the form holds, at least 40.
        inks: the season's inks, CIELAB D50/2°; may be empty.
    """
    copies = max(_LEAST_COPIES, round(cells * _SHARE_OF_NEUTRALS / len(_NEUTRALS)))
    neutrals = [(level, 0.0, 0.0) for _ in range(copies) for level in _NEUTRALS]
    colours = [*inks, *_gamut()]
    for reach in _REACHES:
        around = [_neighbours(ink, reach) for ink in inks]
        colours += [near[i] for i in range(len(_STEPS)) for near in around]
    again = list(inks) or _gamut()
    wanted = cells - len(neutrals)
    while len(colours) < wanted:
        colours += again
    return tuple(neutrals + colours[:wanted])


def _neighbours(ink: LabColour, reach: float) -> tuple[LabColour, ...]:
    """Colours round an ink: lighter, darker, duller, and to either side in hue.

    Args:
        ink: CIELAB D50/2°.
        reach: share of the usual steps to go.
    """
    lightness, a, b = ink
    chroma = math.hypot(a, b)
    along = (a / chroma, b / chroma) if chroma > 1.0 else (1.0, 0.0)
    found = []
    for steps in _STEPS:
        step_l, step_c, step_h = (reach * step for step in steps)
        found.append(
            (
                round(min(_LIGHTEST, max(_DARKEST, lightness + step_l)), 2),
                round(a + step_c * along[0] - step_h * along[1], 2),
                round(b + step_c * along[1] + step_h * along[0], 2),
            )
        )
    return tuple(found)


def _gamut() -> list[LabColour]:
    """Three rings of hues: strong, light and pale, dark."""
    rings: list[LabColour] = []
    for step in range(_HUES):
        hue = math.tau * step / _HUES
        lightness = _STRONG_L[0] + _STRONG_L[1] * math.cos(hue - _STRONG_L[2])
        chroma = _STRONG_C[0] - _STRONG_C[1] * max(0.0, math.cos(hue - _STRONG_C[2]))
        rings.append(_polar(lightness, chroma, hue))
    for lightness, chroma, turn in _PALER:
        rings += [
            _polar(lightness, chroma, math.tau * (step + turn) / _HUES) for step in range(_HUES)
        ]
    return rings


def _polar(lightness: float, chroma: float, hue: float) -> LabColour:
    """A colour by L*, C* and hue in radians, to two decimals."""
    return (
        round(lightness, 2),
        round(chroma * math.cos(hue), 2),
        round(chroma * math.sin(hue), 2),
    )
