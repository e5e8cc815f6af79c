"""Where decals really are on a bat: one photograph between rails against its layout."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path

from livery.capture.layout_regions import (
    BLUR_MM,
    ROLL_PRINT_TO_CUT_MM,
    SHEET_PRINT_TO_CUT_MM,
    layout_regions,
)
from livery.capture.model import Region, Target
from livery.capture.photograph import Photograph, read_photograph
from livery.capture.position_model import DecalFind, Positions
from livery.capture.position_picture import draw_difference, draw_positions
from livery.capture.positions import TOLERANCE_DEG, TOLERANCE_MM, HandMarks, find_positions
from livery.capture.rails import is_rails
from livery.capture.target_file import read_target
from livery.errors import Fault, TargetError
from livery.geometry import Affine
from livery.jobs.layout_choice import Choice, choose_layout
from livery.placement import Layout, books_in_force
from livery.scheme.model import Scheme
from livery.writing import write_whole


def find_on_photograph(
    photo: Path,
    target_file: Path,
    choice: Choice,
    out: Path | None = None,
    *,
    surface: str = "face",
    by_hand: tuple[str, str, str] | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    tolerance_deg: float = TOLERANCE_DEG,
) -> Positions:
    """Find every decal of a face; with ``out``, also write the pictures.

    Args:
        photo: the photograph, blade between rails.
        target_file: the rails' target.toml.
        choice: which bat it is.
        out: folder for the annotated and the difference picture.
        surface: only the face is flat.
        by_hand: points in px on the blade's left side, right side and the grip's end.
        tolerance_mm: from where a decal counts as moved.
        tolerance_deg: the same of its turn.

    Raises:
        SeasonError, ArtworkError, TargetError, PhotographError: what was given is wrong.
        OutputError: the folder cannot be written.
    """
    target = read_target(target_file)
    marks = _marks(by_hand) if by_hand is not None else None
    scheme, layout = choose_layout(choice)
    found = find_positions(
        read_photograph(photo),
        target,
        layout,
        scheme.palette,
        books_in_force(scheme),
        surface=surface,
        anchors={spec.key: spec.along for spec in scheme.placements},
        by_hand=marks,
        tolerance_mm=tolerance_mm,
        tolerance_deg=tolerance_deg,
    )
    if out is not None and found.picture is not None:
        write_pictures(found, layout, out / photo.stem)
    return found


def write_pictures(found: Positions, layout: Layout, stem: Path) -> tuple[Path, Path]:
    """Write the annotated and the difference picture beside each other.

    Raises:
        OutputError: the folder cannot be written.
    """
    names = tuple(stem.with_name(f"{stem.name}.{what}.png") for what in ("position", "difference"))
    write_whole(names[0], draw_positions(found, layout))
    write_whole(names[1], draw_difference(found))
    return names[0], names[1]


def regions_of_layout(
    photo: Photograph, target: Target, choice: Choice, surface: str, place: str | None
) -> tuple[tuple[Region, ...], Target]:
    """Regions to measure, named from a layout, and the target as it lies.

    Between rails the face and each decal on it are found first, and measured where they are. Any
    other target must be told where the surface lies.

    Args:
        photo: as decoded.
        target: in the picture.
        choice: what is in the picture beside it.
        surface: of a bat; a glove or pad is taken whole.
        place: ``"x,y,turn"``: the surface's origin in the target's mm, and its turn
            counter-clockwise; None between rails.

    Raises:
        SeasonError, ArtworkError, TargetError: what was given is wrong.
    """
    return regions_of_item(photo, target, *choose_layout(choice), surface, place)


def regions_of_item(
    photo: Photograph,
    target: Target,
    scheme: Scheme,
    layout: Layout,
    surface: str = "face",
    place: str | None = None,
) -> tuple[tuple[Region, ...], Target]:
    """The same for an item already laid out.

    Raises:
        TargetError: what was given is wrong, or the blade was not found.
    """
    erosion = ROLL_PRINT_TO_CUT_MM if scheme.profile.roll else SHEET_PRINT_TO_CUT_MM
    if layout.item.dims is None:
        surface = ""
    elif surface not in [one.key for one in layout.item.surfaces]:
        known = ", ".join(one.key for one in layout.item.surfaces)
        fault = Fault("--surface", "", None, f"{surface!r} is not of the bat", f"Use {known}")
        raise TargetError(fault)
    if place is None:
        frame, layout, target = _found_frame(photo, target, scheme, layout, surface)
    else:
        frame = _parse_place(place)
    return layout_regions(layout, surface, frame, erosion_mm=erosion + BLUR_MM), target


def _found_frame(
    photo: Photograph, target: Target, scheme: Scheme, layout: Layout, surface: str
) -> tuple[Affine, Layout, Target]:
    """Where the face lies, the layout with its decals where they are, the rails as they lie."""
    if not is_rails(target):
        mend = "Say where the item lies with --place 'x,y,turn', or use rails"
        raise TargetError(Fault(target.key, "", None, "the target does not tell the place", mend))
    found = find_positions(photo, target, layout, scheme.palette, surface=surface)
    if found.blade is None:
        advice = " ".join(gate.advice for gate in found.gates if not gate.ok)
        raise TargetError(Fault(photo.path, "", None, "the blade was not found", advice))
    where = {one.key: one.found for one in found.decals}
    placements = []
    for placement in layout.placements:
        affine = where.get(placement.key, placement.affine)
        if affine is not None:
            placements.append(replace(placement, affine=affine))
    as_found = replace(layout, placements=tuple(placements))
    return found.blade.affine, as_found, found.target or target


def _parse_place(text: str) -> Affine:
    try:
        x, y, *rest = (float(number) for number in text.replace(",", " ").split())
        turn = rest[0] if rest else 0.0
        if len(rest) > 1 or not all(math.isfinite(v) for v in (x, y, turn)):
            raise ValueError(text)
    except ValueError:
        mend = "Give the surface's origin in the target's mm and its turn: 'x,y,turn'"
        raise TargetError(Fault("--place", "", None, f"{text[:60]!r} is no place", mend)) from None
    return Affine.translation(x, y) @ Affine.rotation(-turn)


def _marks(by_hand: tuple[str, str, str]) -> HandMarks:
    names = ("--left", "--right", "--grip")
    left, right, grip = (_points(t, n) for t, n in zip(by_hand, names, strict=True))
    return HandMarks.of(left, right, grip)


def _points(text: str, option: str) -> Sequence[tuple[float, float]]:
    try:
        points = []
        for pair in text.split():
            x, y = (float(number) for number in pair.split(","))
            if not (math.isfinite(x) and math.isfinite(y)):
                raise ValueError(text)
            points.append((x, y))
    except ValueError:
        fault = Fault(option, "", None, f"{text[:60]!r} is no list of points", "Give 'x,y x,y'")
        raise TargetError(fault) from None
    return points


def positions_to_json(found: Positions) -> dict[str, object]:
    """What was found, as data."""
    blade = found.blade
    return {
        "photo": found.photo,
        "item": found.item,
        "surface": found.surface,
        "ok": found.ok,
        "gates": [
            {k: _finite(v) for k, v in asdict(gate).items() if k != "region"}
            for gate in found.gates
        ],
        "blade": None
        if blade is None
        else {
            "x_mm": blade.affine.e,
            "y_mm": blade.affine.f,
            "turn_deg": -math.degrees(math.atan2(blade.affine.b, blade.affine.a)),
            "u95_mm": [1.96 * blade.x_sd_mm, 1.96 * blade.y_sd_mm],
            "width_mm": blade.width_mm,
            "length_mm": blade.length_mm,
            "by_hand": blade.by_hand,
        },
        "tolerance_mm": found.tolerance_mm,
        "tolerance_deg": found.tolerance_deg,
        "decals": [_decal(one) for one in found.decals],
        "findings": [{**asdict(f), "severity": str(f.severity)} for f in found.findings],
        "notes": list(found.notes),
    }


def _decal(one: DecalFind) -> dict[str, object]:
    return {
        "placement": one.key,
        "standing": str(one.standing),
        "offset": None if one.offset is None else asdict(one.offset),
        "likeness": one.likeness,
        "again_mm": [[affine.e, affine.f] for affine in one.again],
        "flaws": [{**asdict(flaw), "kind": str(flaw.kind)} for flaw in one.flaws],
        "note": one.note,
    }


def _finite(value: object) -> object:
    return None if isinstance(value, float) and not math.isfinite(value) else value
