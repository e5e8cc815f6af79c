"""Limits as they lie on a surface: lines that decals may not pass, and room to keep clear."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from livery.kit.model import Surface, Zone
from livery.limits import Check, Rule, RuleBook, Severity
from livery.limits.checks_along import spoken
from livery.limits.checks_area import zones_named
from livery.limits.scene import governs
from livery.limits.values import number
from livery.units import mm_to_inch

_FLAT_MM = 0.02  # how far the round corners of a clearance may be cut [source: workshop-choice]


@dataclass(frozen=True, slots=True, eq=False)
class LimitMark:
    """One limit on one surface.

    Attributes:
        words: what it asks, short.
        level_mm: the y at which its words are led to it.
        lines_mm: y of lines right across the surface.
        shape: lines in the surface's frame, or None.
        binding: false for advice.
    """

    words: str
    level_mm: float
    lines_mm: tuple[float, ...] = ()
    shape: BaseGeometry | None = None
    binding: bool = True


def mark_limits(surface: Surface, books: Sequence[RuleBook]) -> tuple[LimitMark, ...]:
    """The limits of place on a surface, in the books' order; limits of amount have no mark."""
    return tuple(
        mark
        for book in books
        for rule in book.rules
        if rule.severity is not Severity.NOTE and governs(rule, surface.key)
        for mark in _marks(surface, book.key, rule)
    )


def _marks(surface: Surface, book: str, rule: Rule) -> Iterator[LimitMark]:
    binding = rule.severity is Severity.LIMIT
    match rule.check:
        case Check.CONFINED_WITHIN | Check.BEYOND_AT_LEAST | Check.SHORT_AT_LEAST:
            yield from _line(surface, book, rule, binding=binding)
        case Check.CLEAR_OF_BAND:
            yield from _band(surface, book, rule, binding=binding)
        case Check.INSIDE_SURFACE:
            gap = number(rule, "gap")
            inner = surface.outline.buffer(-gap, quad_segs=_segments(gap))
            if gap > 0.0 and not inner.is_empty:
                _, y0, _, y1 = surface.outline.bounds
                words = f"{gap:g} mm inside the edge, {book}"
                level = y0 + 0.72 * (y1 - y0)  # where sides run straight and little else is told
                yield LimitMark(words, level, (), inner.boundary, binding)
        case Check.CLEAR_OF_ZONE:
            for zone in zones_named(surface, rule):
                yield _clearance(surface, book, zone, number(rule, "gap"), binding=binding)


def _line(surface: Surface, book: str, rule: Rule, *, binding: bool) -> Iterator[LimitMark]:
    at = _datum(surface, rule)
    if at is None:
        return
    if rule.check == Check.CONFINED_WITHIN:
        y, verb = at + number(rule, "within"), "end by"
    elif rule.check == Check.BEYOND_AT_LEAST:
        y, verb = at + number(rule, "gap"), "start from"
    else:
        y, verb = at - number(rule, "gap"), "end by"
    words = f"{verb} {y:.1f} mm ({mm_to_inch(y):.2f} in), {book}"
    yield LimitMark(words, y, (y,), None, binding)


def _band(surface: Surface, book: str, rule: Rule, *, binding: bool) -> Iterator[LimitMark]:
    at = _datum(surface, rule)
    if at is None:
        return
    near, far = number(rule, "near"), number(rule, "far")
    _, y0, _, y1 = surface.outline.bounds
    lines = tuple(y for y in (at - far, at - near) if y0 < y < y1)
    words = f"not {near:g} to {far:g} from {spoken(str(rule.parameters['datum']))}, {book}"
    level = min(max(at - (near + far) / 2, y0), y1)
    yield LimitMark(words, level, lines, None, binding)


def _clearance(surface: Surface, book: str, zone: Zone, gap: float, *, binding: bool) -> LimitMark:
    around = zone.area.buffer(gap, quad_segs=_segments(gap)) if gap > 0.0 else zone.area
    edge = around.boundary.intersection(surface.outline)
    words = f"{gap:g} mm clear of {zone.name.replace('-', ' ')}, {book}"
    lines = edge if isinstance(edge, shapely.LineString | shapely.MultiLineString) else None
    level = float(zone.area.bounds[1]) - gap
    return LimitMark(words, max(level, surface.outline.bounds[1]), (), lines, binding)


def _datum(surface: Surface, rule: Rule) -> float | None:
    """A rule says nothing of a surface that lacks its datum."""
    found = [datum.y_mm for datum in surface.datums if datum.name == rule.parameters["datum"]]
    return found[0] if found else None


def _segments(radius_mm: float) -> int:
    """Chords of a quarter circle within the tolerance.

    Source: the height of a chord's arc is about radius times the square of its angle over 8
    [source: common-practice].
    """
    return max(2, round(math.sqrt(math.pi**2 / 32.0 * radius_mm / _FLAT_MM)))
