"""Words of a sheet's foot, fitted to the width they have."""

from __future__ import annotations

from collections.abc import Sequence

from livery.artwork.fonts import measure_text
from livery.units import pt_to_mm


def words_width_mm(text: str, font: str, size_pt: float) -> float:
    """Width of a line in mm, set at ``size_pt``."""
    return measure_text(text, font, pt_to_mm(size_pt))


def fit_words(text: str, font: str, size_pt: float, width_mm: float) -> str:
    """Text shortened with an ellipsis until it fits a width."""
    if words_width_mm(text, font, size_pt) <= width_mm:
        return text
    fits, too_long = 0, len(text)
    while too_long - fits > 1:
        middle = (fits + too_long) // 2
        wide = words_width_mm(text[:middle] + "…", font, size_pt) > width_mm
        fits, too_long = (fits, middle) if wide else (middle, too_long)
    return text[:fits].rstrip(" ,·") + "…"


def wrap_words(parts: Sequence[str], font: str, size_pt: float, width_mm: float) -> list[str]:
    """Parts set one after the other, in as many lines of a width as they take.

    A part is never parted; one that is wider than a line stands alone in it.
    """
    lines: list[str] = []
    for part in parts:
        longer = f"{lines[-1]} {part}" if lines else part
        if lines and words_width_mm(longer, font, size_pt) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(part)
    return lines
