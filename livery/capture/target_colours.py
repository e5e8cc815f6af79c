"""Which colours a target carries: neutrals for shading, the season's inks, and the gamut."""

from __future__ import annotations

import math
from collections.abc import Sequence

from livery.drawing import LabColour

NEUTRAL_LIGHTNESS = (93.0, 80.0, 66.0, 51.0, 36.0, 20.0)
_SHARE_OF_NEUTRALS = 0.24
_LEAST_COPIES = 2
_HUES = 10


def patch_colours(cells: int, inks: Sequence[LabColour]) -> tuple[LabColour, ...]:
    """Colours for that many cells, neutrals first, none left empty.

    Neutrals take about a quarter. Then come the inks, the gamut, the neighbours of each ink, and
    for cells still free the inks again: what a season uses is where a camera's error matters.

    Args:
        cells: how many patches the form holds, at least 40.
        inks: the season's inks, CIELAB D50/2°; may be empty.

    Source:
        Shares and order [source: workshop-choice].
    """
    copies = max(_LEAST_COPIES, round(cells * _SHARE_OF_NEUTRALS / len(NEUTRAL_LIGHTNESS)))
    neutrals = [(level, 0.0, 0.0) for _ in range(copies) for level in NEUTRAL_LIGHTNESS]
    colours = [*inks, *_gamut()]
    for reach in (1.0, 0.5, 1.7):
        around = [neighbours(ink, reach) for ink in inks]
        colours += [near[i] for i in range(len(_STEPS)) for near in around]
    again = list(inks) or _gamut()
    wanted = cells - len(neutrals)
    while len(colours) < wanted:
        colours += again
    return tuple(neutrals + colours[:wanted])


_STEPS = ((7.0, 0.0, 0.0), (-7.0, 0.0, 0.0), (0.0, -9.0, 0.0), (0.0, 0.0, 9.0), (0.0, 0.0, -9.0))


def neighbours(ink: LabColour, reach: float = 1.0) -> tuple[LabColour, ...]:
    """Colours round an ink: lighter, darker, duller, and to either side in hue.

    Args:
        ink: CIELAB D50/2°.
        reach: share of the usual steps to go.

    Source:
        Steps in L*, along chroma and across it [source: workshop-choice].
    """
    lightness, a, b = ink
    chroma = math.hypot(a, b)
    along = (a / chroma, b / chroma) if chroma > 1.0 else (1.0, 0.0)
    found = []
    for steps in _STEPS:
        step_l, step_c, step_h = (reach * step for step in steps)
        found.append(
            (
                round(min(95.0, max(12.0, lightness + step_l)), 2),
                round(a + step_c * along[0] - step_h * along[1], 2),
                round(b + step_c * along[1] + step_h * along[0], 2),
            )
        )
    return tuple(found)


def _gamut() -> list[LabColour]:
    """Three rings of hues: strong, light and pale, dark.

    The strong ring's lightness follows what printing inks reach (yellow light, blue dark) and
    dips in chroma towards cyan.
    """
    rings: list[LabColour] = []
    for step in range(_HUES):
        hue = math.tau * step / _HUES
        lightness = 60.0 + 18.0 * math.cos(hue - math.radians(100.0))
        chroma = 55.0 - 22.0 * max(0.0, math.cos(hue - math.radians(200.0)))
        rings.append(_polar(lightness, chroma, hue))
    for step in range(_HUES):
        rings.append(_polar(78.0, 22.0, math.tau * (step + 0.5) / _HUES))
    for step in range(_HUES):
        rings.append(_polar(38.0, 26.0, math.tau * (step + 0.25) / _HUES))
    return rings


def _polar(lightness: float, chroma: float, hue: float) -> LabColour:
    return (
        round(lightness, 2),
        round(chroma * math.cos(hue), 2),
        round(chroma * math.sin(hue), 2),
    )
