"""The control strip: solids, tints and overprints of every ink, with what each should measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, groupby

import numpy as np

from livery.artwork.typesetting import cut_line, line_width_mm
from livery.colour import lab_to_xyz, spot_tone_value, xyz_to_lab
from livery.drawing import Element, LabColour, Label, Paint, Process, Shape, Stroke
from livery.geometry import Path
from livery.scheme.model import Palette, PrintProfile, Prints
from livery.sheet.builds import PROCESS_NAMES, ink_paint
from livery.sheet.frame import CLEARANCE_MM, Frame

TINTS = (1.0, 0.75, 0.5)
STOCK_LAB: LabColour = (95.0, 0.0, -2.0)
GREY = (0.5, 0.4, 0.4, 0.0)
_NEUTRAL_CHROMA = 6.0
_NEUTRAL_DARKER_L = 60.0
_OVERPRINTED = ((1, 2), (0, 2), (0, 1))
_HALVINGS = 30  # of the area covered: to a thousand-millionth
_LABEL_PT = 4.5
_NAME_RISE_MM = 2.7
_AIM_RISE_MM = 0.8


@dataclass(frozen=True, slots=True)
class ControlPatch:
    """One patch of the strip.

    Attributes:
        inks: keys: one, or two overprinted; none for process inks and bare stock.
        tint: area covered, 0..1.
        aim: CIELAB D50/2°; the palette's own for a solid, predicted for the rest.
        predicted: whether the aim is a prediction from the solids, the stock or the press profile.
        group: patches of one group stand side by side under one label.
        paints: what prints it, in order, the later overprinting; none for bare stock.
        label: of the group, on its first patch.
    """

    name: str
    inks: tuple[str, ...]
    tint: float
    aim: LabColour
    predicted: bool
    group: int
    paints: tuple[Paint, ...] = ()
    label: str = ""


def group_widths_mm(
    profile: PrintProfile, palette: Palette, inks: Sequence[str]
) -> tuple[float, ...]:
    """Widths of the strip's groups, in their order: of their patches, or of a wider label.

    An ink's name is cut to its group; figures are not.
    """
    return tuple(
        max(len(patches) * profile.control_patch_mm, _label_width_mm(patches))
        for patches in _groups(palette, profile, inks)
    )


def _groups(
    palette: Palette, profile: PrintProfile, inks: Sequence[str]
) -> list[list[ControlPatch]]:
    patches = control_patches(palette, profile, inks)
    return [list(group) for _, group in groupby(patches, key=lambda patch: patch.group)]


def _label_width_mm(patches: Sequence[ControlPatch]) -> float:
    words = _aim_words(patches[0]) if _is_ink(patches) else patches[0].label
    return line_width_mm(words, "text", _LABEL_PT)


def _is_ink(patches: Sequence[ControlPatch]) -> bool:
    """Whether a group is an ink's solid and tints."""
    return len(patches) == len(TINTS) and bool(patches[0].inks)


def _aim_words(patch: ControlPatch) -> str:
    return " ".join(f"{value:.1f}".replace("-", "−") for value in patch.aim)


def control_patches(
    palette: Palette, profile: PrintProfile, inks: Sequence[str]
) -> tuple[ControlPatch, ...]:
    """Patches of a run's inks.

    Solid, 75 % and 50 % of each; each pair of separations overprinted; where process inks print,
    their solids, their overprints, a three-ink grey and the black tint beside it; else half of
    the most neutral dark ink as the grey; bare stock.

    Tints of separations are those area-weighted mixtures of solid and stock that have the tint's
    tone value, as a print check wants it; overprints are products of reflectances relative to the
    stock. Both are first estimates, and say so: the first approved sheet is the better aim.
    Process patches are predicted by the press profile.

    Source: [source: murray-davies], [source: iso-20654], [source: overprint-product]; the stock's
    own colour is taken as CIELAB (95, 0, −2), the grey as 50/40/40 [source: workshop-choice].
    """
    groups = [_ink_group(palette, profile, inks, key) for key in inks]
    plates = [key for key in inks if palette.ink(key).prints is Prints.SPOT]
    groups += [[_pair(palette, profile, inks, *pair)] for pair in combinations(plates, 2)]
    if len(plates) < len(inks):
        groups += _process_groups(profile)
    elif grey := _neutral(palette, inks):
        groups.append([_grey(palette, profile, grey)])
    groups.append([ControlPatch("Stock", (), 0.0, STOCK_LAB, True, 0, (), "stock")])
    return tuple(
        replace(patch, group=number) for number, group in enumerate(groups) for patch in group
    )


def _ink_group(
    palette: Palette, profile: PrintProfile, inks: Sequence[str], key: str
) -> list[ControlPatch]:
    ink = palette.ink(key)
    patches = []
    for tint in TINTS:
        paint = ink_paint(palette, key, profile, tint)
        if isinstance(paint, Process):
            aim, predicted = _process_lab(profile, paint), True
        else:
            aim, predicted = (ink.lab if tint == 1.0 else _tint_lab(ink.lab, tint)), tint != 1.0
        name = f"{ink.name} {tint:.0%}".replace("%", " %")
        label = f"{list(inks).index(key) + 1} {ink.name}" if tint == 1.0 else ""
        patches.append(ControlPatch(name, (key,), tint, aim, predicted, 0, (paint,), label))
    return patches


def _pair(
    palette: Palette, profile: PrintProfile, inks: Sequence[str], one: str, two: str
) -> ControlPatch:
    first, second = palette.ink(one), palette.ink(two)
    aim = _overprint_lab(first.lab, second.lab)
    paints = (ink_paint(palette, one, profile), ink_paint(palette, two, profile))
    label = "+".join(str(list(inks).index(key) + 1) for key in (one, two))
    name = f"{second.name} on {first.name}"
    return ControlPatch(name, (one, two), 1.0, aim, True, 0, paints, label)


def _process_groups(profile: PrintProfile) -> list[list[ControlPatch]]:
    solids = [(name, (number,)) for number, name in enumerate(PROCESS_NAMES)]
    pairs = [(f"{PROCESS_NAMES[j]} on {PROCESS_NAMES[i]}", (i, j)) for i, j in _OVERPRINTED]
    return [
        _process_group(profile, "C M Y K", [(name, _whole(of)) for name, of in solids]),
        _process_group(profile, "MY CY CM", [(name, _whole(of)) for name, of in pairs]),
        _process_group(
            profile,
            "grey, K 50",
            [("Grey 50/40/40", Process(*GREY)), ("Black 50 %", Process(0.0, 0.0, 0.0, 0.5))],
        ),
    ]


def _whole(of: tuple[int, ...]) -> Process:
    return Process(*(float(number in of) for number in range(4)))


def _process_group(
    profile: PrintProfile, label: str, entries: list[tuple[str, Process]]
) -> list[ControlPatch]:
    return [
        ControlPatch(
            name, (), 1.0, _process_lab(profile, paint), True, 0, (paint,), "" if place else label
        )
        for place, (name, paint) in enumerate(entries)
    ]


def _neutral(palette: Palette, inks: Sequence[str]) -> str:
    """The most neutral of the dark inks, or "" where none is nearly grey."""
    dark = [palette.ink(key) for key in inks]
    dark = [ink for ink in dark if ink.lab[0] < _NEUTRAL_DARKER_L]
    chroma = [(float(np.hypot(*ink.lab[1:])), ink.key) for ink in dark]
    least, key = min(chroma, default=(_NEUTRAL_CHROMA, ""))
    return key if least < _NEUTRAL_CHROMA else ""


def _grey(palette: Palette, profile: PrintProfile, key: str) -> ControlPatch:
    ink, paint = palette.ink(key), ink_paint(palette, key, profile, 0.5)
    aim = _tint_lab(ink.lab, 0.5)
    return ControlPatch(f"Grey: {ink.name} 50 %", (key,), 0.5, aim, True, 0, (paint,), "grey")


def _process_lab(profile: PrintProfile, paint: Process) -> LabColour:
    build = (paint.c, paint.m, paint.y, paint.k)
    return _as_lab(profile.press.cmyk_to_lab(build))


@lru_cache(maxsize=256)
def _tint_lab(solid: LabColour, tint: float) -> LabColour:
    """The mixture of solid and stock whose tone value is the tint."""
    ink, stock = lab_to_xyz(np.array(solid)), lab_to_xyz(np.array(STOCK_LAB))
    if np.allclose(ink, stock, atol=1e-6):
        return STOCK_LAB
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        area = (low + high) / 2.0
        mixed = xyz_to_lab(area * ink + (1.0 - area) * stock)
        less = float(spot_tone_value(mixed, solid, STOCK_LAB)) < tint
        low, high = (area, high) if less else (low, area)
    return _as_lab(mixed)


def _overprint_lab(one: LabColour, two: LabColour) -> LabColour:
    first, second = lab_to_xyz(np.array(one)), lab_to_xyz(np.array(two))
    return _as_lab(xyz_to_lab(first * second / lab_to_xyz(np.array(STOCK_LAB))))


def _as_lab(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> LabColour:
    lightness, a, b = (float(value) for value in values)
    return lightness, a, b


def draw_strip(
    palette: Palette, profile: PrintProfile, inks: Sequence[str], frame: Frame, words: Paint
) -> list[Element]:
    """The strip where the frame has room for it, labels above each group.

    An ink's label gives its number and name and the aim of its solid; a pair's label the two
    numbers; bare stock is outlined.

    Args:
        palette: the inks' aims.
        profile: the patches' size, and how inks print.
        inks: keys of the run's inks in order.
        frame: the sheet's division.
        words: paint of the labels.
    """
    elements: list[Element] = []
    size = profile.control_patch_mm
    for cell, patches in zip(frame.strip, _groups(palette, profile, inks), strict=True):
        for place, patch in enumerate(patches):
            x, y = cell.x_mm + place * size, cell.y_mm + CLEARANCE_MM
            elements += _patch(patch, Path.rectangle(x, y, x + size, y + size), words)
        top = cell.y_mm + CLEARANCE_MM + size
        elements += _labels(patches, cell.x_mm, top, size, words)
    return elements


def _patch(patch: ControlPatch, box: Path, words: Paint) -> list[Element]:
    if not patch.paints:
        return [Shape(box, stroke=Stroke(words, 0.1), name="stock")]
    return [
        Shape(box, paint, overprint=number > 0, name=patch.name)
        for number, paint in enumerate(patch.paints)
    ]


def _labels(
    patches: list[ControlPatch], x: float, top: float, size: float, words: Paint
) -> list[Element]:
    first, wide = patches[0], len(patches) * size
    if _is_ink(patches):
        wide = max(wide, _label_width_mm(patches))
        name = cut_line(first.label, "text-bold", _LABEL_PT, wide)
        return [
            Label(name, x, top + _NAME_RISE_MM, _LABEL_PT, words, font="text-bold"),
            Label(_aim_words(first), x, top + _AIM_RISE_MM, _LABEL_PT, words),
        ]
    start = x + max(wide - _label_width_mm(patches), 0.0) / 2.0
    return [Label(first.label, start, top + _AIM_RISE_MM, _LABEL_PT, words)]
