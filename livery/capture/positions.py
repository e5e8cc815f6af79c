"""A photograph of a face between rails: where every decal is, against its layout and the rules."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from livery.capture import gates as judge
from livery.capture.applied_limits import applied_findings
from livery.capture.blade_finding import WRONG_SIZE, BladeFind, blade_by_hand, find_blade
from livery.capture.decal_choice import Seeker, expected_affine
from livery.capture.decal_telling import tell_decal
from livery.capture.markers import find_markers
from livery.capture.model import Gate, Target
from livery.capture.photograph import Photograph, grey_of
from livery.capture.position_model import DecalFind, Positions, Standing
from livery.capture.rails import RailsLie, is_rails, lay_rails, window_of
from livery.capture.rectified import Rectified, rectify
from livery.errors import Fault, TargetError
from livery.kit.model import KitItem
from livery.limits import RuleBook
from livery.placement import Layout
from livery.scheme.model import Along, Palette

Floats = NDArray[np.float64]
# Every figure: [source: workshop-choice]
TOLERANCE_MM, TOLERANCE_DEG = 1.0, 1.0
MOST_PX_PER_MM, LEAST_PX_PER_MM = 4.0, 2.0
_OTHER_SIZE_MM = 5.0  # a blade so much wider or narrower is another size
_OTHER_LENGTH_MM = 25.0
_AS_DRAWN_MM = 0.5  # lengths that differ by less are taken as drawn
_POINTED_MM = 0.7  # how well a person points


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
            if len(points) < least or not np.isfinite(points).all():
                mend = f"Give {least} or more: 'x,y x,y'"
                raise TargetError(Fault(f"--{what}", "", None, "too few points", mend))
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
        photo.path,
        item.key,
        surface,
        gates,
        None,
        (),
        (),
        tolerance_mm,
        tolerance_deg,
        source=photo.sha256,
    )
    if lie is None:
        return base
    picture = _picture(photo, lie)
    blade, lacking = _blade(picture, lie, item, by_hand)
    base = replace(
        base,
        gates=(*gates, _blade_gate(blade, lacking, _is_whole(photo, lie)), *_size_gates(blade)),
        picture=picture,
        notes=_notes(lie, blade),
        target=lie.target,
    )
    if blade is None:
        return base
    placed = [p for p in layout.placements if p.surface == surface]
    shift = _shift(blade)
    expected = [expected_affine(p, (anchors or {}).get(p.key, Along.DATUM), shift) for p in placed]
    found = Seeker(picture, blade.affine, palette).seek(placed, expected)
    told = [
        tell_decal(p, at, one, blade, lie, base)
        for p, at, one in zip(placed, expected, found, strict=True)
    ]
    decals = tuple(one for one, _ in told)
    return replace(
        base,
        blade=blade,
        decals=decals,
        notes=(*base.notes, *_way_round(decals)),
        findings=applied_findings(layout, surface, decals, books, shift),
        differences=tuple(d for _, d in told if d is not None),
    )


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
    middle = np.array([target.width_mm, target.height_mm]) / 2
    scale = lie.plane.stretch(middle)[1]
    advice = "Come closer, or use more of the camera's pixels."
    return lie, (
        gate,
        Gate(
            "scale",
            scale >= LEAST_PX_PER_MM,
            scale,
            LEAST_PX_PER_MM,
            "" if scale >= LEAST_PX_PER_MM else advice,
        ),
        judge.tilt_gate(lie.plane.tilt_deg(middle)),
        judge.geometry_gate(lie.plane.residual_mm),
    )


def _picture(photo: Photograph, lie: RailsLie) -> Rectified:
    """The rails' window, no finer than the photograph is."""
    target = lie.target
    x0, x1 = window_of(target)
    middle = np.array([target.width_mm, target.height_mm]) / 2
    scale = min(MOST_PX_PER_MM, max(LEAST_PX_PER_MM, lie.plane.stretch(middle)[0]))
    return rectify(photo, lie.plane, target, (x0, 0.0, x1, target.height_mm), scale)


def _blade(
    picture: Rectified, lie: RailsLie, item: KitItem, by_hand: HandMarks | None
) -> tuple[BladeFind | None, str]:
    outline = item.surface("face").outline
    if by_hand is not None:
        points = [
            lie.plane.to_mm(px) for px in (by_hand.left_px, by_hand.right_px, by_hand.grip_px)
        ]
        return blade_by_hand(points[0], points[1], points[2], outline, _POINTED_MM), ""
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


def _blade_gate(blade: BladeFind | None, lacking: str, whole: bool) -> Gate:
    mend = (
        "Lay the blade on something darker or lighter than the wood, clear of both strips, grip "
        "and toe between them, or mark its sides and the grip's end by hand."
        if whole
        else "Part of the space between the strips is outside the picture: step back until both "
        "strips are in it, whole."
    )
    if WRONG_SIZE in lacking:
        mend = "Name the size that lies there, or mark its sides and the grip's end by hand."
    advice = f"Not found: {lacking}. {mend}"
    ok = blade is not None
    return Gate("blade", ok, 1.0 if ok else 0.0, 1.0, "" if ok else advice)


def _size_gates(blade: BladeFind | None) -> tuple[Gate, ...]:
    """Whether the blade may be of the size that was named."""
    if blade is None:
        return ()
    wider = abs(blade.width_mm - blade.nominal_width_mm)
    longer = abs((blade.length_mm or blade.nominal_length_mm) - blade.nominal_length_mm)
    advice = "Not the size that was named, or its sides were not found: check, or mark by hand."
    return tuple(
        Gate(name, value <= most, value, most, "" if value <= most else advice)
        for name, value, most in (
            ("width against its size, mm", wider, _OTHER_SIZE_MM),
            ("length against its size, mm", longer, _OTHER_LENGTH_MM),
        )
    )


def _notes(lie: RailsLie, blade: BladeFind | None) -> tuple[str, ...]:
    notes = []
    if lie.loose:
        dx, dy = lie.shift_mm
        notes.append(
            "The two strips do not lie as printed: the right one stands "
            f"{dx:+.2f} mm across, {dy:+.2f} mm along, turned {lie.turn_deg:+.2f}°. "
            "Both were estimated together; distances across are then less certain."
        )
    if blade is not None and blade.length_mm is not None and _shift(blade):
        notes.append(
            f"The grip ends {blade.length_mm:.1f} mm from the toe, drawn "
            f"{blade.nominal_length_mm:.1f} mm: what is placed from shoulder, middle or toe is "
            "expected there."
        )
    return tuple(notes)


def _way_round(decals: Sequence[DecalFind]) -> tuple[str, ...]:
    """A bat that lies toe to handle looks as if all its decals were upside down."""
    found = [one for one in decals if one.found is not None]
    if len(found) < 2 or any(one.standing is not Standing.UPSIDE_DOWN for one in found):
        return ()
    return (
        "Every decal is upside down: if the bat lies with its toe away from the crosspiece, turn "
        "it round and photograph it again.",
    )


def _shift(blade: BladeFind) -> float:
    """How much longer the face is than drawn, from grip to toe; 0 where as drawn or not known."""
    if blade.length_mm is None:
        return 0.0
    longer = blade.length_mm - blade.nominal_length_mm
    return longer if _AS_DRAWN_MM < abs(longer) <= _OTHER_LENGTH_MM else 0.0
