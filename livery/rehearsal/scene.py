"""Putting a scene together: any target, with regions beneath its window or laid beside it."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from livery.capture.model import Target
from livery.colour import WAVELENGTHS_NM, spectrum_for_lab
from livery.drawing import LabColour
from livery.rehearsal.model import Floats, Material, Scene, SceneRegion
from livery.rehearsal.sensor import rendition_spectra
from livery.scheme.model import Spectrum

# Invented stock, ink and bench. Source: workshop-choice
PAPER_LAB = (94.0, 0.0, -1.5)
BLACK_LAB = (17.0, 0.0, 0.0)
BENCH_LAB = (38.0, 6.0, 14.0)
_MARGIN = 0.04  # of the diagonal, round everything; workshop choice


@lru_cache(maxsize=1024)
def spectrum_of(lab: LabColour) -> Spectrum:
    """An invented smooth reflectance that has exactly that colour under D50.

    Raises:
        ColourError: no reflectance has that colour.
    """
    return Spectrum(WAVELENGTHS_NM, spectrum_for_lab(lab))


def box_ring(x0: float, y0: float, x1: float, y1: float) -> Floats:
    """An upright rectangle's outline, shape (4, 2)."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]], dtype=np.float64)


def region(
    name: str,
    ring_mm: Floats,
    colour: LabColour | Spectrum,
    *,
    ink: str = "",
    item: str = "",
    material: Material = Material.SMOOTH,
) -> SceneRegion:
    """A region of one outline, its colour a spectrum or a Lab to invent one for.

    Raises:
        ColourError: no reflectance has that colour.
    """
    spectrum = colour if isinstance(colour, Spectrum) else spectrum_of(colour)
    rings = (np.asarray(ring_mm, dtype=np.float64),)
    return SceneRegion(name, ink or name, item, rings, spectrum, material)


def make_scene(
    target: Target,
    under: Iterable[SceneRegion] = (),
    over: Iterable[SceneRegion] = (),
    *,
    window_mm: tuple[float, float, float, float] | None = None,
    patches: tuple[Spectrum, ...] | None = None,
    paper: LabColour = PAPER_LAB,
    bench: LabColour = BENCH_LAB,
) -> Scene:
    """A scene about a target.

    Args:
        target: whose patches get spectra that have their Lab exactly.
        under: regions on the bench, in painter's order, beneath the target.
        over: regions laid on top of it, or beside.
        window_mm: (x0, y0, x1, y1) cut out of the target.
        patches: measured spectra instead, one a patch, in order.
        paper: CIELAB D50/2° of the target's paper.
        bench: CIELAB D50/2° of the bench.

    Raises:
        ColourError: a patch's Lab that no reflectance has.
    """
    beneath, above = tuple(under), tuple(over)
    corners = [np.array([[0.0, 0.0], [target.width_mm, target.height_mm]])]
    corners += [ring for one in (*beneath, *above) for ring in one.rings_mm]
    points = np.concatenate(corners)
    low, high = points.min(axis=0), points.max(axis=0)
    margin = _MARGIN * float(np.hypot(*(high - low)))
    frame = (*(float(v) - margin for v in low), *(float(v) + margin for v in high))
    return Scene(
        target,
        beneath,
        above,
        window_mm,
        patches or tuple(spectrum_of(patch.lab) for patch in target.patches),
        spectrum_of(paper),
        spectrum_of(BLACK_LAB),
        spectrum_of(bench),
        (frame[0], frame[1], frame[2], frame[3]),
    )


def rendition_patches() -> tuple[Spectrum, ...]:
    """The 24 published reflectances, in the chart's order, for a target of its patches.

    Source:
        babelcolor
    """
    return tuple(spectrum for _, spectrum in rendition_spectra())
