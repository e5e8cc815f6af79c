"""What one check says of one decal, before it is known whose decal it is."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Remark:
    """A measure against its limit; a negative margin is outside."""

    rule: str
    measured: float
    limit: float
    margin: float
    unit: str
    text: str

    @classmethod
    def at_least(cls, rule: str, measured: float, limit: float, unit: str, text: str) -> Remark:
        """A measure that may not be less than its limit."""
        return cls(rule, measured, limit, measured - limit, unit, text)

    @classmethod
    def at_most(cls, rule: str, measured: float, limit: float, unit: str, text: str) -> Remark:
        """A measure that may not be more than its limit."""
        return cls(rule, measured, limit, limit - measured, unit, text)
