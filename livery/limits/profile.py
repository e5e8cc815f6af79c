"""The print profile's own limits, as a rule book like any other."""

from __future__ import annotations

from livery.limits.model import Rule, RuleBook, Severity
from livery.limits.registry import Check
from livery.scheme.model import PrintProfile
from livery.units import pt_to_mm

CAPITALS_SHARE = 0.7
"""Height of capitals as a share of a type's size [source: common-practice]."""


def book_of_profile(profile: PrintProfile) -> RuleBook:
    """Smallest text and thinnest line that the season's printer accepts."""
    text = Rule(
        key="smallest-text",
        title=f"Lettering prints at {profile.min_text_pt:g} pt or more",
        check=Check.TEXT_HEIGHT_AT_LEAST,
        parameters={"height": CAPITALS_SHARE * pt_to_mm(profile.min_text_pt)},
        surfaces=(),
        roles=(),
        severity=Severity.LIMIT,
        source=f"Print profile, {profile.name}",
        clause="min_text",
        standing="the printer's choice",
        reading=f"Capitals are taken as {CAPITALS_SHARE:g} of the type's size.",
    )
    line = Rule(
        key="thinnest-line",
        title="Lines print",
        check=Check.LINE_WIDTH_AT_LEAST,
        parameters={"width": profile.min_line_mm},
        surfaces=(),
        roles=(),
        severity=Severity.LIMIT,
        source=f"Print profile, {profile.name}",
        clause="min_line",
        standing="the printer's choice",
    )
    return RuleBook("print", f"What {profile.name} can print", (text, line))
