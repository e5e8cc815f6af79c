"""Tints of a batch: tone values against those wanted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from livery.colour import spot_tone_value
from livery.errors import ColourError
from livery.match.print_model import PatchReading, TintCheck

TONE_TOLERANCE = 0.05
"""How far a tint's mean tone value may be from the one wanted. Source: workshop-choice."""

_Key = tuple[str, float]


def check_tints(
    readings: Sequence[PatchReading], approved: Sequence[PatchReading]
) -> tuple[TintCheck, ...]:
    """Check every tint whose solid and bare stock were read on the same sheet.

    A tint's tone value should be the approved sheet's, or where there is none, its own number.

    Source:
        [source: iso-20654]
    """
    agreed = _tones(approved)
    found = []
    for key, tones in _tones(readings).items():
        wanted = float(np.mean(list(agreed[key].values()))) if key in agreed else key[1]
        values = np.array(list(tones.values()))
        worst = int(np.argmax(np.abs(values - wanted)))
        mean = float(values.mean())
        ok = abs(mean - wanted) <= TONE_TOLERANCE + 1e-9
        found.append(TintCheck(*key, wanted, mean, float(values[worst]), list(tones)[worst], ok))
    return tuple(found)


def _tones(readings: Sequence[PatchReading]) -> dict[_Key, dict[str, float]]:
    """(Ink, tint) to sheet to tone value."""
    labs: dict[tuple[str, tuple[str, ...], float], list[tuple[float, ...]]] = {}
    for one in readings:
        labs.setdefault((one.sheet, one.inks, one.tint), []).append(one.lab)
    means = {key: np.mean(values, axis=0) for key, values in labs.items()}
    tones: dict[_Key, dict[str, float]] = {}
    for (sheet, inks, tint), lab in means.items():
        solid, stock = means.get((sheet, inks, 1.0)), means.get((sheet, (), 0.0))
        if len(inks) != 1 or tint in (0.0, 1.0) or solid is None or stock is None:
            continue
        try:
            tone = float(spot_tone_value(lab, solid, stock))
        except ColourError:
            continue  # a solid that cannot be told from its stock fails as a solid
        tones.setdefault((inks[0], tint), {})[sheet] = tone
    return tones
