"""Pairs under every light they will be seen in, from spectra, and the worst light in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from livery.colour import LIGHTS, Illuminant, resampling, see_under_lights
from livery.match.model import AIM
from livery.match.tolerance import Names, choose_tolerance
from livery.scheme.model import Palette, Spectrum, Tolerances

Floats = NDArray[np.float64]

_GRID = np.arange(360.0, 831.0, 5.0)  # the observer's own
_DAY = ("D50", "D65")
_WORDS = {
    "D50": "by day",
    "D65": "by day",
    "A": "under filament lamps",
    "FL2": "under fluorescent tubes",
    "FL7": "under fluorescent tubes",
    "FL11": "under shop tubes",
    "LED-B1": "under warm LED",
    "LED-B2": "under warm LED",
    "LED-B3": "under neutral LED",
    "LED-B4": "under floodlight",
    "LED-B5": "under floodlight",
}


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredSpectrum:
    """The reflectance of one ink on one item.

    Attributes:
        source: what it was read from, by digest or name.
    """

    ink: str
    item: str
    spectrum: Spectrum
    source: str = ""


@dataclass(frozen=True, slots=True)
class UnderLight:
    """One pair under one light: ΔE00, and the special metamerism index against D50."""

    light: str
    de00: float
    index: float


@dataclass(frozen=True, slots=True)
class LightComparison:
    """One ink, two things, under every light.

    Attributes:
        a, b: item names; ``a`` may be ``aim``.
        worst: the light under which they are furthest apart.
        words: what that means.
    """

    ink: str
    a: str
    b: str
    tolerance: float
    basis: str
    lights: tuple[UnderLight, ...]
    worst: UnderLight
    words: str

    @property
    def ok(self) -> bool:
        """Whether the pair is within tolerance under every light."""
        return self.worst.de00 <= self.tolerance


def compare_under_lights(
    measured: Iterable[MeasuredSpectrum],
    aims: Palette,
    tolerances: Tolerances | None = None,
    lights: Sequence[str | Illuminant] = LIGHTS,
    *,
    names: Names | None = None,
) -> tuple[LightComparison, ...]:
    """Compare spectra with the aims' spectra and with each other under every light.

    Args:
        measured: spectra of inks on items; several of one ink and item are averaged.
        aims: inks; those without a spectrum are left out as aims.
        tolerances: the season's; those of the palette alone unless given.
        lights: packaged lights by name, or lights.
        names: what items answer to in ``tolerances.pairs``.

    Returns:
        By ink, aims first, then pairs in the order of the items.

    Raises:
        ColourError: a spectrum that does not serve.

    Source:
        [source: iso-18314-4]
    """
    found = _by_ink(measured, aims)
    surfaces = [(ink, item) for ink, items in found.items() for item in items]
    pairs = [
        (i, j) for i, j in combinations(range(len(surfaces)), 2) if surfaces[i][0] == surfaces[j][0]
    ]
    if not pairs:
        return ()
    rows = np.array([found[ink][item] for ink, item in surfaces])
    seen = see_under_lights(_GRID, rows, pairs, lights)
    results = []
    for column, (i, j) in enumerate(pairs):
        ink, a, b = surfaces[i][0], surfaces[i][1], surfaces[j][1]
        limit, basis = choose_tolerance(ink, a, b, aims, tolerances or Tolerances(), names or {})
        under = tuple(
            UnderLight(light, float(seen.de00[row, column]), float(seen.index[row, column]))
            for row, light in enumerate(seen.lights)
        )
        words = say_lights(under, limit)
        results.append(LightComparison(ink, a, b, limit, basis, under, _worst(under), words))
    return tuple(results)


def say_lights(under: Sequence[UnderLight], tolerance: float) -> str:
    """What the lights do to a pair: ``matches by day, 2.4 apart under floodlight (LED-B4)``."""
    worst = _worst(under)
    most = f"{worst.de00:.1f} apart {_place(worst.light)}"
    inside = [one for one in under if one.de00 <= tolerance]
    if len(inside) == len(under):
        return f"matches under every light; at most {most}"
    if not inside:
        day = next((one for one in under if one.light in _DAY), None)
        by_day = f"{day.de00:.1f} {_words(day.light)}, " if day and day is not worst else ""
        return f"apart under every light: {by_day}{most}"
    outside_words = {_words(one.light) for one in under if one.de00 > tolerance}
    all_in = [word for one in inside if (word := _words(one.light)) not in outside_words]
    where = ", ".join(dict.fromkeys(all_in)) or f"under {inside[0].light}"
    return f"matches {where}; {most}"


def _worst(under: Sequence[UnderLight]) -> UnderLight:
    """The light under which a pair is furthest apart, the first of several."""
    return max(under, key=lambda one: one.de00)


def _by_ink(measured: Iterable[MeasuredSpectrum], aims: Palette) -> dict[str, dict[str, Floats]]:
    """Ink to item to mean reflectance on the observer's grid; an ink's aim comes first."""
    rows: dict[str, dict[str, list[Floats]]] = {}
    entries = list(measured)
    seen = {one.ink for one in entries}
    for ink in aims.inks:
        if ink.key in seen:
            own = rows.setdefault(ink.key, {})
            if ink.spectrum is not None:
                own[AIM] = [_on_grid(ink.spectrum)]
    for one in entries:
        rows.setdefault(one.ink, {}).setdefault(one.item, []).append(_on_grid(one.spectrum))
    return {
        ink: {item: np.mean(several, axis=0) for item, several in items.items()}
        for ink, items in rows.items()
    }


def _on_grid(spectrum: Spectrum) -> Floats:
    matrix = resampling(np.asarray(spectrum.wavelengths_nm, dtype=np.float64), _GRID)
    values: Floats = matrix @ np.asarray(spectrum.reflectance, dtype=np.float64)
    return values


def _words(light: str) -> str:
    return _WORDS.get(light, f"under {light}")


def _place(light: str) -> str:
    words = _words(light)
    return words if words.endswith(light) else f"{words} ({light})"
