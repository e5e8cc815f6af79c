"""From an artwork file's user units to mm."""

from __future__ import annotations

import math
from collections.abc import Mapping

from lxml import etree

from livery.artwork.values import MM_PER_PX, parse_numbers, parse_size_mm
from livery.geometry import Affine

LARGEST_MM = 5_000.0
"""Farthest a point may lie from the drawing's origin (workshop choice)."""
_PROPORTIONS = 0.002
_LENGTHS = frozenset({"x", "y", "width", "height", "r", "rx", "ry", "cx", "cy", "font-size"})
_LENGTHS |= {"x1", "y1", "x2", "y2", "stroke-width"}


def stretches(affine: Affine) -> tuple[float, float]:
    """Largest and smallest stretch of a map."""
    a, b, c, d = affine.coefficients[:4]
    low, high = math.hypot(a - d, b + c), math.hypot(a + d, b - c)
    return (high + low) / 2, abs(high - low) / 2


def frame_of(root: etree._Element) -> Affine:
    """From user units to mm, by the root's size and viewBox.

    Raises:
        ValueError: the size is not stated in absolute units, or the viewBox does not match it.
    """
    sizes = [_side(root, name) for name in ("width", "height")]
    text = root.get("viewBox")
    if text is None:
        return Affine.scaling(MM_PER_PX)
    box = parse_numbers(text)
    if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
        raise ValueError(f"viewBox={text[:40]!r} is not four numbers with a size. Mend the viewBox")
    across, along = sizes[0] / box[2], sizes[1] / box[3]
    if abs(across / along - 1) > _PROPORTIONS:
        raise ValueError(
            f"viewBox {box[2]:g} x {box[3]:g} has not the proportions of "
            f"{sizes[0]:g} x {sizes[1]:g} mm. Make them match"
        )
    return Affine.scaling(across) @ Affine.translation(-box[0], -box[1])


def refuse_untrue_lengths(says: Mapping[str, str], to_mm: Affine) -> None:
    """Refuse a length in cm, in, pt and the like that the drawing's viewBox stretches.

    Inside a drawing such a unit is so many CSS pixels, and a pixel is one unit of the viewBox: only
    where that is 1/96 in does 1 cm come out as 1 cm.

    Args:
        says: an element's attributes and style properties.
        to_mm: of the drawing.

    Raises:
        ValueError: there is such a length.

    Source: units [source: svg-2].
    """
    unit_mm = to_mm.a
    if abs(unit_mm / MM_PER_PX - 1.0) <= _PROPORTIONS:
        return
    for name in sorted(_LENGTHS & says.keys()):
        text = says[name].strip()
        if text[-1:].isalpha() and not text.lower().endswith("px"):
            meant = parse_size_mm(text)
            if meant:
                raise ValueError(
                    f"{name}={text[:20]!r} would come out as {meant / MM_PER_PX * unit_mm:.4g} mm, "
                    f"as the viewBox makes a unit {unit_mm:.4g} mm. Write {meant / unit_mm:.4g}, "
                    "without a unit"
                )


def _side(root: etree._Element, name: str) -> float:
    text = root.get(name)
    if text is None:
        raise ValueError(f"{name} is not stated. State the size in mm, such as {name}='58mm'")
    try:
        side = parse_size_mm(text)
    except ValueError as error:
        raise ValueError(f"{name}: {error}. State it in mm") from None
    if not 0 < side < LARGEST_MM:
        raise ValueError(f"{name}={text[:30]!r} is no size of a decal. State it in mm")
    return side
