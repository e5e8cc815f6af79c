"""From an artwork file's user units to mm."""

from __future__ import annotations

import math

from lxml import etree

from livery.artwork.values import MM_PER_PX, parse_numbers, parse_size_mm
from livery.geometry import Affine

LARGEST_MM = 5_000.0
"""Farthest a point may lie from the drawing's origin (workshop choice)."""


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
    if abs(across / along - 1) > 0.002:
        raise ValueError(
            f"viewBox {box[2]:g} x {box[3]:g} has not the proportions of "
            f"{sizes[0]:g} x {sizes[1]:g} mm. Make them match"
        )
    return Affine.scaling(across) @ Affine.translation(-box[0], -box[1])


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
