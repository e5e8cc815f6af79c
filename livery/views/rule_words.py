"""What a rule asks, in a few words with its figures in mm and inches."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from livery.limits import Check, Rule
from livery.limits.checks_along import spoken
from livery.limits.checks_item import DIMENSIONS
from livery.limits.reading import format_value
from livery.limits.registry import CHECKS, Kind
from livery.limits.values import word, words


def limit_words(rule: Rule) -> str:
    """What the rule asks: ``ends at most 228.60 mm (9.000 in) from the bottom of the grip``.

    A figure that is printed twice and differs is shown both ways, the stricter first.
    """
    write = _WORDS.get(Check(rule.check), _list_parameters)
    asks = write(rule)
    loose = [name for name in rule.parameters if name.endswith("_loose")]
    if loose and rule.parameters[loose[0]] != rule.parameters[loose[0].removesuffix("_loose")]:
        asks += f"; also printed as {_value(rule, loose[0])}"
    return asks


def where_words(rule: Rule) -> str:
    """The surfaces and roles that a rule governs."""
    whole = "the bat itself" if rule.check in _OF_THE_BAT else "every surface"
    surfaces = ", ".join(rule.surfaces) or whole
    return f"{surfaces}; {', '.join(rule.roles)}" if rule.roles else surfaces


_OF_THE_BAT = (Check.DIMENSION_AT_MOST, Check.DIMENSION_SHARE_AT_MOST)


def _value(rule: Rule, name: str) -> str:
    value = rule.parameters[name]
    spec = CHECKS[Check(rule.check)]
    kind = {**spec.needs, **spec.may}.get(name)
    if isinstance(value, str):
        return spoken(value) if kind is Kind.DATUM else value
    if value == 0.0 and kind is Kind.LENGTH:
        return "0 mm"
    if kind is Kind.SHARE:
        return f"{100.0 * value:g} %"
    if kind is Kind.LENGTH:
        return format_value(value, "mm")
    return format_value(value, "mm²") if kind is Kind.AREA else f"{value:g}"


def _list_parameters(rule: Rule) -> str:
    return "; ".join(f"{name.replace('_', ' ')} {_value(rule, name)}" for name in rule.parameters)


def _zone(rule: Rule) -> str:
    zone = word(rule, "zone").replace("-", " ")
    return f"the {zone}" if zone else "every barred zone"


def _share(rule: Rule) -> str:
    part, whole = (DIMENSIONS[str(rule.parameters[name])] for name in ("part", "whole"))
    sizes = words(rule, "except_sizes")
    but = f", but for {', '.join(sizes)}" if sizes else ""
    return f"{part} at most {_value(rule, 'share')} of the {whole}{but}"


_WORDS: Mapping[Check, Callable[[Rule], str]] = {
    Check.CONFINED_WITHIN: lambda r: (
        f"ends at most {_value(r, 'within')} from the {_value(r, 'datum')}"
    ),
    Check.BEYOND_AT_LEAST: lambda r: (
        f"starts at least {_value(r, 'gap')} beyond the {_value(r, 'datum')}"
    ),
    Check.SHORT_AT_LEAST: lambda r: (
        f"stops at least {_value(r, 'gap')} short of the {_value(r, 'datum')}"
    ),
    Check.CLEAR_OF_BAND: lambda r: (
        f"out of the band {_value(r, 'near')} to {_value(r, 'far')} before the {_value(r, 'datum')}"
    ),
    Check.INSIDE_SURFACE: lambda r: f"at least {_value(r, 'gap')} inside the surface's edge",
    Check.CLEAR_OF_ZONE: lambda r: f"at least {_value(r, 'gap')} clear of {_zone(r)}",
    Check.GAP_AT_LEAST: lambda r: f"at least {_value(r, 'gap')} apart",
    Check.SHARE_OF_AREA_AT_MOST: lambda r: f"cover at most {_value(r, 'share')} of the surface",
    Check.AREA_AT_MOST: lambda r: f"at most {_value(r, 'area')} on each {word(r, 'per', 'decal')}",
    Check.COUNT_AT_MOST: lambda r: (
        f"at most {_value(r, 'count')} on each {word(r, 'per', 'surface')}"
    ),
    Check.SURFACES_ALLOWED: lambda r: f"nowhere else on a {r.parameters.get('kinds', 'piece')}",
    Check.THICKNESS_AT_MOST: lambda r: f"at most {_value(r, 'thickness')} thick in all",
    Check.TEXT_HEIGHT_AT_LEAST: lambda r: f"capitals at least {_value(r, 'height')} high",
    Check.LINE_WIDTH_AT_LEAST: lambda r: f"lines at least {_value(r, 'width')} wide",
    Check.DIMENSION_AT_MOST: lambda r: (
        f"{DIMENSIONS[str(r.parameters['dimension'])]} at most {_value(r, 'at_most')}"
    ),
    Check.DIMENSION_SHARE_AT_MOST: _share,
    Check.BY_EYE: lambda _: "a person looks",
}
