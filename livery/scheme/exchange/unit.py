"""Percent or unit, told by the Lab values that stand beside the spectra."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import numpy as np

from livery.colour import spectrum_to_lab
from livery.scheme.exchange.model import Unit
from livery.scheme.exchange.numbers import as_factor

_LIGHTNESS_APART = 3.0
"""L* between a spectrum and its Lab, whatever the light. Source: workshop-choice."""


def settle_by_lab(
    rows: Sequence[tuple[Sequence[float], Sequence[Decimal], Sequence[Decimal]]],
) -> Unit | None:
    """The one unit under which every spectrum is as light as its Lab; None if neither is.

    Args:
        rows: wavelengths in nm, reflectances and Lab, as written.
    """
    if not rows:
        return None
    fitting = [
        unit
        for unit in Unit
        if all(_apart(waves, values, lab, unit) <= _LIGHTNESS_APART for waves, values, lab in rows)
    ]
    return fitting[0] if len(fitting) == 1 else None


def _apart(
    waves: Sequence[float], values: Sequence[Decimal], lab: Sequence[Decimal], unit: Unit
) -> float:
    seen = spectrum_to_lab(np.asarray(waves), as_factor(values, unit))
    return abs(float(seen[0]) - float(lab[0]))
