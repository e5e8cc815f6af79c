"""What a photograph between rails must be to tell positions, and what is noted beside."""

from __future__ import annotations

from collections.abc import Sequence

from livery.capture.blade_finding import MOST_LONGER_MM, BladeFind, NotFound
from livery.capture.model import Gate
from livery.capture.position_model import DecalFind, Standing
from livery.capture.rails import RailsLie

# Every limit: [source: workshop-choice]
LEAST_PX_PER_MM = 2.0
_MOST_WIDER_MM = 5.0  # or narrower than drawn, and still of the size


def fineness_gate(px_per_mm: float) -> Gate:
    """Whether the photograph shows the rails large enough; named ``scale``."""
    ok = px_per_mm >= LEAST_PX_PER_MM
    advice = "" if ok else "Come closer, or use more of the camera's pixels."
    return Gate("scale", ok, px_per_mm, LEAST_PX_PER_MM, advice)


def blade_gate(blade: BladeFind | NotFound, *, whole: bool) -> Gate:
    """Whether the blade was found.

    Args:
        blade: what was found, or was not.
        whole: whether all of the space between the strips lies in the picture.
    """
    if isinstance(blade, BladeFind):
        return Gate("blade", True, 1.0, 1.0, "")
    if blade.other_size:
        mend = "Name the size that lies there, or mark its sides and the grip's end by hand."
    elif whole:
        mend = (
            "Lay the blade on something darker or lighter than the wood, clear of both strips, "
            "grip and toe between them, or mark its sides and the grip's end by hand."
        )
    else:
        mend = (
            "Part of the space between the strips is outside the picture: step back until both "
            "strips are in it, whole."
        )
    return Gate("blade", False, 0.0, 1.0, f"Not found: {blade.what}. {mend}")


def size_gates(blade: BladeFind) -> tuple[Gate, ...]:
    """Whether the blade may be of the size that was named."""
    wider = abs(blade.width_mm - blade.nominal_width_mm)
    longer = abs((blade.length_mm or blade.nominal_length_mm) - blade.nominal_length_mm)
    advice = "Not the size that was named, or its sides were not found: check, or mark by hand."
    return tuple(
        Gate(name, value <= most, value, most, "" if value <= most else advice)
        for name, value, most in (
            ("width against its size, mm", wider, _MOST_WIDER_MM),
            ("length against its size, mm", longer, MOST_LONGER_MM),
        )
    )


def note_loose(lie: RailsLie) -> tuple[str, ...]:
    """How loose strips lie; nothing where they lie as printed."""
    if not lie.loose:
        return ()
    dx, dy = lie.shift_mm
    return (
        "The two strips do not lie as printed: the right one stands "
        f"{dx:+.2f} mm across, {dy:+.2f} mm along, turned {lie.turn_deg:+.2f}°. "
        "Both were estimated together; distances across are then less certain.",
    )


def note_length(blade: BladeFind) -> tuple[str, ...]:
    """That the face is of another length than drawn; nothing where it is not."""
    if not blade.longer_mm:
        return ()
    return (
        f"The grip ends {blade.length_mm:.1f} mm from the toe, drawn "
        f"{blade.nominal_length_mm:.1f} mm: what is placed from shoulder, middle or toe is "
        "expected there.",
    )


def note_way_round(decals: Sequence[DecalFind]) -> tuple[str, ...]:
    """That a bat may lie toe to handle, as all its decals look upside down."""
    found = [one for one in decals if one.found is not None]
    if len(found) < 2 or any(one.standing is not Standing.UPSIDE_DOWN for one in found):
        return ()
    return (
        "Every decal is upside down: if the bat lies with its toe away from the crosspiece, turn "
        "it round and photograph it again.",
    )
