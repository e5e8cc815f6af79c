"""The control strip: solids, tints and overprints of every ink, with what each should measure."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from livery.colour import lab_to_xyz, xyz_to_lab
from livery.drawing import Anchor, Element, LabColour, Label, Paint, Shape, Stroke
from livery.geometry import Path
from livery.scheme.model import Palette, PrintProfile
from livery.sheet.frame import CLEARANCE_MM, Frame
from livery.sheet.symbols import ink_spot

TINTS = (1.0, 0.75, 0.5)
STOCK_LAB: LabColour = (95.0, 0.0, -2.0)
_LABEL_PT = 4.5
_NAME_RISE_MM = 2.7
_AIM_RISE_MM = 0.8


@dataclass(frozen=True, slots=True)
class ControlPatch:
    """One patch of the strip.

    Attributes:
        inks: one key, or two overprinted, or none for bare stock.
        tint: area covered, 0..1.
        aim: CIELAB D50/2°; the palette's own for a solid, predicted for the rest.
        predicted: whether the aim is a prediction from the solids and the stock.
        group: patches of one group stand side by side under one label.
    """

    name: str
    inks: tuple[str, ...]
    tint: float
    aim: LabColour
    predicted: bool
    group: int


def group_widths_mm(profile: PrintProfile, inks: int) -> tuple[float, ...]:
    """Widths of the strip's groups: one an ink, one a pair of inks, and one of bare stock."""
    patch = profile.control_patch_mm
    pairs = inks * (inks - 1) // 2
    return (len(TINTS) * patch,) * inks + (patch,) * (pairs + 1)


def control_patches(palette: Palette, inks: tuple[str, ...]) -> tuple[ControlPatch, ...]:
    """Patches of a run's inks: solid, 75 % and 50 % of each, each pair overprinted, bare stock.

    Tints are area-weighted mixtures of solid and stock; overprints are products of reflectances
    relative to the stock. Both are first estimates, and say so: the first approved sheet is the
    better aim.

    Source: [source: murray-davies], [source: overprint-product]; the stock's own colour is taken
    as CIELAB (95, 0, −2) [source: workshop-choice].
    """
    patches: list[ControlPatch] = []
    for group, key in enumerate(inks):
        ink = palette.ink(key)
        for tint in TINTS:
            aim = ink.lab if tint == 1.0 else _tint_lab(ink.lab, tint)
            name = f"{ink.name} {tint:.0%}".replace("%", " %")
            patches.append(ControlPatch(name, (key,), tint, aim, tint != 1.0, group))
    for number, (one, two) in enumerate(combinations(inks, 2)):
        first, second = palette.ink(one), palette.ink(two)
        aim = _overprint_lab(first.lab, second.lab)
        name = f"{second.name} on {first.name}"
        patches.append(ControlPatch(name, (one, two), 1.0, aim, True, len(inks) + number))
    last = patches[-1].group + 1 if patches else 0
    patches.append(ControlPatch("Stock", (), 0.0, STOCK_LAB, True, last))
    return tuple(patches)


def _tint_lab(solid: LabColour, tint: float) -> LabColour:
    ink, stock = lab_to_xyz(np.array(solid)), lab_to_xyz(np.array(STOCK_LAB))
    return _as_lab(xyz_to_lab(tint * ink + (1.0 - tint) * stock))


def _overprint_lab(one: LabColour, two: LabColour) -> LabColour:
    first, second = lab_to_xyz(np.array(one)), lab_to_xyz(np.array(two))
    return _as_lab(xyz_to_lab(first * second / lab_to_xyz(np.array(STOCK_LAB))))


def _as_lab(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> LabColour:
    lightness, a, b = (float(value) for value in values)
    return lightness, a, b


def draw_strip(
    palette: Palette, profile: PrintProfile, inks: tuple[str, ...], frame: Frame, words: Paint
) -> list[Element]:
    """The strip where the frame has room for it, labels above each group.

    An ink's label gives its number and name and the aim of its solid; a pair's label the two
    numbers; bare stock is outlined.

    Args:
        palette: the inks' aims.
        profile: the patches' size.
        inks: keys of the run's inks in order.
        frame: the sheet's division.
        words: paint of the labels.
    """
    elements: list[Element] = []
    size = profile.control_patch_mm
    groups: dict[int, list[ControlPatch]] = {}
    for patch in control_patches(palette, inks):
        groups.setdefault(patch.group, []).append(patch)
    for cell, patches in zip(frame.strip, groups.values(), strict=True):
        for place, patch in enumerate(patches):
            x, y = cell.x_mm + place * size, cell.y_mm + CLEARANCE_MM
            elements += _patch(patch, palette, Path.rectangle(x, y, x + size, y + size), words)
        top = cell.y_mm + CLEARANCE_MM + size
        elements += _labels(patches, inks, cell.x_mm, top, size, words)
    return elements


def _patch(patch: ControlPatch, palette: Palette, box: Path, words: Paint) -> list[Element]:
    if not patch.inks:
        return [Shape(box, stroke=Stroke(words, 0.1), name="stock")]
    return [
        Shape(box, ink_spot(palette, key, patch.tint), overprint=number > 0, name=patch.name)
        for number, key in enumerate(patch.inks)
    ]


def _labels(
    patches: list[ControlPatch],
    inks: tuple[str, ...],
    x: float,
    top: float,
    size: float,
    words: Paint,
) -> list[Element]:
    first = patches[0]
    if len(first.inks) == 1:
        name = first.name.removesuffix(" 100 %")
        heading = f"{inks.index(first.inks[0]) + 1} {name}"
        aim = " ".join(f"{value:.1f}".replace("-", "−") for value in first.aim)
        return [
            Label(heading, x, top + _NAME_RISE_MM, _LABEL_PT, words, font="text-bold"),
            Label(aim, x, top + _AIM_RISE_MM, _LABEL_PT, words),
        ]
    numbers = "+".join(str(inks.index(key) + 1) for key in first.inks) or "stock"
    middle = x + size / 2.0
    return [Label(numbers, middle, top + _AIM_RISE_MM, _LABEL_PT, words, Anchor.MIDDLE)]
