"""Targets of our own to print: the values, and the drawing of them."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace

from livery.capture.model import INSTRUMENT_SD, Marker, Patch, Target
from livery.capture.target_colours import patch_colours
from livery.capture.target_drawing import draw_target
from livery.capture.target_layout import (
    MARKER_MM,
    PATCH_MM,
    Form,
    TargetKind,
    form_of,
    marker_centre,
    patch_corner,
)
from livery.colour import SURFACES, is_surface
from livery.drawing import Drawing, LabColour, lab_colour
from livery.errors import Fault, TargetError
from livery.scheme.faults import suggest
from livery.scheme.model import Palette

_DICTIONARY = "DICT_APRILTAG_36h11"


def make_target(kind: TargetKind | str, palette: Palette | None = None) -> tuple[Target, Drawing]:
    """A target of that kind, its patches clustered round the palette's inks.

    Values are nominal: what was asked of the printer, until the print is measured.

    Args:
        kind: ``card`` (with a window, laid on a decal, a glove or a pad), ``rails`` (two strips
            either side of a blade) or ``chart`` (A5).
        palette: the season's inks; None leaves the gamut alone.

    Returns:
        The target and the drawing to print it from, at full size.

    Raises:
        TargetError: no such kind.
    """
    try:
        form = form_of(TargetKind(kind))
    except ValueError:
        found, mend = f"{str(kind)!r} is no kind of target", f"Use {', '.join(TargetKind)}."
        raise TargetError(Fault("target", "kind", None, found, mend)) from None
    inks = [ink.lab for ink in palette.inks] if palette else []
    target = _target(form, inks, palette.key if palette else "plain")
    return target, draw_target(target, form)


def _target(form: Form, inks: Sequence[LabColour], palette_key: str) -> Target:
    markers = tuple(
        Marker(_DICTIONARY, form.first_marker + i, *marker_centre(cell), MARKER_MM)
        for i, cell in enumerate(form.marker_cells)
    )
    colours = patch_colours(len(form.patch_cells), inks)
    patches = tuple(
        Patch(cell.reference, *patch_corner(cell), PATCH_MM, PATCH_MM, lab, False)
        for cell, lab in zip(form.patch_cells, colours, strict=True)
    )
    digest = hashlib.sha256(repr((form.kind, markers, patches)).encode()).hexdigest()[:8]
    key = f"{form.kind}-{palette_key}-{digest}"
    return Target(key, form.width_mm, form.height_mm, markers, patches)


def with_measured(target: Target, values: Mapping[str, LabColour]) -> Target:
    """The target with what an instrument read on this print.

    Args:
        target: as made or read.
        values: patch name to CIELAB D50/2°, M1; patches not named keep their value and standing.

    Raises:
        TargetError: a name the target does not have, or a value no print could have; every such
            fault at once.
    """
    known = {patch.name for patch in target.patches}
    faults: list[Fault] = []
    for name, lab in values.items():
        if name not in known:
            found, mend = f"the target has no patch {name!r}", suggest(name, known, "patches")
            faults.append(Fault(target.key, name, None, found, mend))
        if not is_surface(lab):
            found = f"{tuple(lab)} is no colour of a surface"
            faults.append(Fault(target.key, name, None, found, f"Give {SURFACES}."))
    if faults:
        raise TargetError(*faults)
    patches = tuple(
        replace(patch, lab=lab_colour(values[patch.name]), measured=True, lab_sd=INSTRUMENT_SD)
        if patch.name in values
        else patch
        for patch in target.patches
    )
    return replace(target, patches=patches)
