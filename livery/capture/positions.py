"""A photograph of a face between rails: where every decal is, against its layout and the rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from livery.capture import gates as judge
from livery.capture.applied_limits import applied_findings
from livery.capture.blade_finding import BladeFind, NotFound, blade_by_hand, find_blade
from livery.capture.decal_choice import Seeker
from livery.capture.decal_standing import judge_decal
from livery.capture.markers import find_markers
from livery.capture.model import Gate, Target
from livery.capture.photograph import Photograph, grey_of
from livery.capture.position_gates import (
    LEAST_PX_PER_MM,
    blade_gate,
    fineness_gate,
    note_length,
    note_loose,
    note_way_round,
    size_gates,
)
from livery.capture.position_model import Positions
from livery.capture.rails import RailsLie, is_rails, lay_rails, window_of
from livery.capture.rectified import Rectified, rectify
from livery.colour import Floats
from livery.errors import Fault, TargetError
from livery.geometry import Affine
from livery.kit.model import KitItem
from livery.limits import RuleBook
from livery.placement import Layout, Placement
from livery.scheme.model import Along, Palette

# Every figure: [source: workshop-choice]
TOLERANCE_MM, TOLERANCE_DEG = 1.0, 1.0
_MOST_PX_PER_MM = 4.0  # of the rectified face: finer tells no more
_POINTED_MM = 0.7  # standard deviation of a person's pointing


@dataclass(frozen=True, slots=True, eq=False)
class HandMarks:
    """Points that a person gave, px of the photograph, each shape (n, 2)."""

    left_px: Floats
    right_px: Floats
    grip_px: Floats

    @classmethod
    def of(cls, left: ArrayLike, right: ArrayLike, grip: ArrayLike) -> HandMarks:
        """Two points or more on either side of the blade, one or more on the grip's end.

        Raises:
            TargetError: too few points, or not finite.
        """
        arrays = [np.asarray(points, np.float64).reshape(-1, 2) for points in (left, right, grip)]
        for points, least, what in zip(arrays, (2, 2, 1), ("left", "right", "grip"), strict=True):
            finite = bool(np.isfinite(points).all())
            if len(points) < least or not finite:
                found = f"too few points, {len(points)}" if finite else "a point is not finite"
                mend = f"Give {least} or more as 'x,y x,y', in px of the photograph"
                raise TargetError(Fault(f"--{what}", "", None, found, mend))
        return cls(*arrays)


def find_positions(
    photo: Photograph,
    target: Target,
    layout: Layout,
    palette: Palette,
    books: Sequence[RuleBook] = (),
    *,
    surface: str = "face",
    anchors: Mapping[str, Along] | None = None,
    by_hand: HandMarks | None = None,
    tolerance_mm: float = TOLERANCE_MM,
    tolerance_deg: float = TOLERANCE_DEG,
) -> Positions:
    """Find every decal of a bat's face that lies between rails.

    Args:
        photo: as decoded.
        target: the rails, as printed.
        layout: the bat, its decals as they should be.
        palette: the season's inks.
        books: rule books to hold the decals against, where they are.
        surface: only a face is flat: ``face``.
        anchors: from where each placement is measured; all from the grip's end unless given.
        by_hand: the blade's sides and grip's end, where they were pointed at.
        tolerance_mm: from where a decal counts as moved.
        tolerance_deg: the same of its turn.

    Returns:
        What was found, with every gate. Without target or blade there are no decals.

    Raises:
        TargetError: the target is no rails, or the surface is not a bat's face.
        PhotographError: the photograph's colour profile cannot be used.
    """
    item = layout.item
    _check(target, item, surface)
    lie, gates = _lie(photo, target)
    base = Positions(
        photo=photo.path,
        item=item.key,
        surface=surface,
        gates=gates,
        blade=None,
        decals=(),
        findings=(),
        tolerance_mm=tolerance_mm,
        tolerance_deg=tolerance_deg,
        source=photo.sha256,
    )
    if lie is None:
        return base
    picture = _picture(photo, lie)
    blade = _blade(picture, lie, item, by_hand)
    base = replace(
        base,
        gates=(*gates, blade_gate(blade, whole=_is_whole(photo, lie))),
        picture=picture,
        notes=note_loose(lie),
        target=lie.target,
    )
    if isinstance(blade, NotFound):
        return base
    base = replace(
        base,
        gates=(*base.gates, *size_gates(blade)),
        blade=blade,
        notes=(*base.notes, *note_length(blade)),
    )
    found = _with_decals(base, picture, blade, lie, layout, palette, anchors or {})
    applied = applied_findings(layout, surface, found.decals, books, blade.longer_mm)
    return replace(found, findings=applied)


def _with_decals(
    base: Positions,
    picture: Rectified,
    blade: BladeFind,
    lie: RailsLie,
    layout: Layout,
    palette: Palette,
    anchors: Mapping[str, Along],
) -> Positions:
    """The same with every decal of the surface sought and judged."""
    placed = [p for p in layout.placements if p.surface == base.surface]
    expected = [_expected(p, anchors.get(p.key, Along.DATUM), blade.longer_mm) for p in placed]
    found = Seeker(picture, blade.affine, palette).seek([p.decal for p in placed], expected)
    tolerance = (base.tolerance_mm, base.tolerance_deg)
    judged = [
        judge_decal(p, at, one, blade, lie, tolerance)
        for p, at, one in zip(placed, expected, found, strict=True)
    ]
    decals = tuple(one for one, _ in judged)
    return replace(
        base,
        decals=decals,
        notes=(*base.notes, *note_way_round(decals)),
        differences=tuple(difference for _, difference in judged if difference is not None),
    )


def _expected(placement: Placement, along: Along, longer_mm: float) -> Affine:
    """Where a decal should be on a face that is longer than drawn: its frame to the face's.

    ``along``: from where it is measured, which moves it with the shoulder, the middle or the toe.
    """
    share = {Along.DATUM: 0.0, Along.MIDDLE: 0.5}.get(along, 1.0)
    return Affine.translation(0.0, share * longer_mm) @ placement.affine


def _check(target: Target, item: KitItem, surface: str) -> None:
    if item.dims is None or surface != "face":
        found = f"{surface!r} of {item.name} is not flat between rails"
        raise TargetError(Fault("--surface", "", None, found, "Use the face of a bat"))
    if not is_rails(target):
        mend = "Use rails: livery target --form rails"
        raise TargetError(Fault(target.key, "", None, "the target is no pair of rails", mend))


def _lie(photo: Photograph, target: Target) -> tuple[RailsLie | None, tuple[Gate, ...]]:
    """How the rails lie, and whether they can be trusted."""
    seen = find_markers(grey_of(photo), target)
    needed = max(judge.LEAST_MARKERS, len(target.markers) // 3)
    gate = judge.target_gate(seen, needed)
    if not gate.ok:
        return None, (gate,)
    lie = lay_rails(seen.corners_px, target, photo.size_px)
    if lie is None:
        return None, (judge.crumpled_gate(needed),)
    middle = target.middle_mm
    return lie, (
        gate,
        fineness_gate(lie.plane.stretch(middle)[1]),
        judge.tilt_gate(lie.plane.tilt_deg(middle)),
        judge.geometry_gate(lie.plane.residual_mm),
    )


def _picture(photo: Photograph, lie: RailsLie) -> Rectified:
    """The rails' window, no finer than the photograph is."""
    target = lie.target
    x0, x1 = window_of(target)
    finest = lie.plane.stretch(target.middle_mm)[0]
    scale = min(_MOST_PX_PER_MM, max(LEAST_PX_PER_MM, finest))
    return rectify(photo, lie.plane, target, (x0, 0.0, x1, target.height_mm), scale)


def _blade(
    picture: Rectified, lie: RailsLie, item: KitItem, by_hand: HandMarks | None
) -> BladeFind | NotFound:
    """Where the blade lies, as a person pointed or as it is found."""
    outline = item.surface("face").outline
    if by_hand is not None:
        left, right, grip = (
            lie.plane.to_mm(px) for px in (by_hand.left_px, by_hand.right_px, by_hand.grip_px)
        )
        return blade_by_hand(left, right, grip, outline, _POINTED_MM)
    x0, x1 = window_of(lie.target)
    bottom = max(
        max(p.y_mm + p.h_mm for p in lie.target.patches),
        max(m.y_mm + m.size_mm / 2 for m in lie.target.markers),
    )
    handle = item.dims.handle_width if item.dims is not None else 0.0
    return find_blade(picture, outline, handle, (x0, 0.0, x1, bottom))


def _is_whole(photo: Photograph, lie: RailsLie) -> bool:
    """Whether all of the space between the strips lies in the picture."""
    (x0, x1), y1 = window_of(lie.target), lie.target.height_mm
    corners = lie.plane.to_px(np.array([(x0, 0.0), (x1, 0.0), (x1, y1), (x0, y1)]))
    return bool((corners >= 0.0).all() and (corners <= np.array(photo.size_px) - 1.0).all())
