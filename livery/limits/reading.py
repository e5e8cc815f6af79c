"""What a check measured, before it becomes a finding."""

from __future__ import annotations

from dataclasses import dataclass

from livery.units import MM_PER_INCH, format_mm_and_inch, mm_to_inch

EXACT = 1e-9
"""Differences that are rounding of floating point. [source: workshop-choice]."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured value beside its limit.

    Attributes:
        subject: what was measured.
        what: a clause with {} for the value: "the decal reaches {} from the bottom of the grip".
        at_most: whether the limit is an upper one.
        loose: the larger of two printed figures that differ, or None.
        when_below: the clause for a value below zero, which is then written without its sign.
    """

    subject: str
    what: str
    measured: float
    limit: float
    unit: str
    at_most: bool
    loose: float | None = None
    when_below: str = ""

    @property
    def margin(self) -> float:
        """How far inside the limit; negative is outside; rounding at the limit is 0."""
        margin = self.limit - self.measured if self.at_most else self.measured - self.limit
        return 0.0 if abs(margin) <= EXACT else margin

    @property
    def text(self) -> str:
        """Measured, limit and margin in words, lengths in mm and inches."""
        bound = "at most" if self.at_most else "at least"
        margin = self.margin
        over = "too many" if self.unit == "decals" else "too much"
        state = "to spare" if margin >= 0 else over if self.at_most else "short"
        below = bool(self.when_below) and self.measured < -EXACT
        what, value = (self.when_below, -self.measured) if below else (self.what, self.measured)
        words = (
            f"{what.replace('{}', format_value(value, self.unit), 1)}; {bound} "
            f"{format_value(self.limit, self.unit)}; "
            f"{format_value(abs(margin), self.unit)} {state}"
        )
        if self.loose is not None and margin < 0 and self.measured <= self.loose + EXACT:
            words += (
                f"; between the two printed figures, {format_value(self.limit, self.unit)} and "
                f"{format_value(self.loose, self.unit)}: the stricter is held"
            )
        return words


def format_value(value: float, unit: str) -> str:
    """A value as the trade reads it; lengths both ways, thin ones with more digits.

    Source: [international-inch]
    """
    if unit == "mm" and 0.0 < abs(value) < 1.0:
        return f"{value:.3f} mm ({mm_to_inch(value):.4f} in)"
    if unit == "mm":
        return format_mm_and_inch(value)
    if unit == "mm²":
        return f"{value:.1f} mm² ({value / MM_PER_INCH**2:.3f} sq in)"
    if unit == "%":
        return f"{value:.2f} %"
    return f"{value:g} {unit.removesuffix('s') if value == 1 else unit}"
