"""What the findings of a layout say of one decal, one surface, one bat: in a few words."""

from __future__ import annotations

from collections.abc import Sequence

from livery.kit.model import KitItem
from livery.limits import Check, Finding, RuleBook, Severity, set_in_place
from livery.limits.distances import distance_clear
from livery.limits.reading import format_value
from livery.limits.scene import has_role
from livery.limits.values import number
from livery.placement import Layout, Placement
from livery.placement.bounds import binding
from livery.scheme.model import ItemKind

_OF_PLACE = frozenset(
    {
        Check.CONFINED_WITHIN,
        Check.BEYOND_AT_LEAST,
        Check.SHORT_AT_LEAST,
        Check.CLEAR_OF_BAND,
        Check.INSIDE_SURFACE,
        Check.CLEAR_OF_ZONE,
    }
)
_OF_SHAPE = frozenset({Check.DIMENSION_AT_MOST, Check.DIMENSION_SHARE_AT_MOST})


def item_words(item: KitItem) -> str:
    """An item as people say it: ``Sedge, short handle``; ``Sedge gloves, men, left glove``."""
    words = [item.name, item.size.replace("-", " ")]
    if item.side:
        words.append(f"{item.side} {item.kind}")
    return ", ".join(words)


def tenths(mm: float) -> str:
    """A length to a tenth of a mm; what rounds to 0 has no sign."""
    return f"{round(mm, 1) + 0.0:.1f}"


def findings_on(layout: Layout, placement: Placement) -> tuple[Finding, ...]:
    """The findings whose subject is a decal, alone or with another."""
    end = f", {placement.surface}"
    found = []
    for finding in layout.findings:
        where, _, names = finding.subject.rpartition(": ")
        if where.endswith(end) and placement.key in names.split(" and "):
            found.append(finding)
    return tuple(found)


def is_broken(findings: Sequence[Finding]) -> bool:
    """Whether any limit among findings is broken."""
    return any(not f.ok and f.severity is Severity.LIMIT for f in findings)


def nearest_limit(layout: Layout, placement: Placement, books: Sequence[RuleBook]) -> str:
    """The limit of place that a decal comes nearest to, or breaks by most."""
    of_place = _rules(books, _OF_PLACE)
    margins = [
        (finding.margin, finding.title)
        for finding in findings_on(layout, placement)
        if finding.rule in of_place and finding.severity is Severity.LIMIT
    ]
    margins += _gaps(layout, placement, books)
    if not margins:
        return "none"
    margin, title = min(margins)
    if margin >= 0.0:
        return f"{margin:.1f} mm to spare: {title}"
    return f"BROKEN by {-margin:.1f} mm: {title}"


def _gaps(
    layout: Layout, placement: Placement, books: Sequence[RuleBook]
) -> list[tuple[float, str]]:
    """What a decal's own gaps to its neighbours spare; findings tell the closest pair's alone."""
    own, *others = [
        set_in_place(p.key, p.decal, p.surface, p.affine, p.scale)
        for p in sorted(layout.placements, key=lambda p: p is not placement)
        if p.surface == placement.surface
    ]
    surface = layout.item.surface(own.surface)
    return [
        (distance_clear(own.area, other.area) - number(rule, "gap"), rule.title)
        for _, rule in binding(books, own.decal, surface)
        if rule.check == Check.GAP_AT_LEAST
        for other in others
        if has_role(rule, other.decal)
    ]


def broken_words(layout: Layout) -> tuple[str, ...]:
    """Limits that the layout breaks, a line each."""
    return tuple(
        f"{f.title}, {_place(f)}: {_short(f)}"
        for f in layout.findings
        if not f.ok and f.severity is Severity.LIMIT
    )


def _place(finding: Finding) -> str:
    """Where on the item: a surface, a decal on it, or the whole."""
    place = finding.subject.rpartition(", ")[2]
    return "the whole" if place.endswith("-handed") else place


def _short(finding: Finding) -> str:
    measured, limit = (format_value(v, finding.unit) for v in (finding.measured, finding.limit))
    return f"{measured}, limit {limit}"


def shape_words(layout: Layout, books: Sequence[RuleBook]) -> tuple[tuple[str, str, bool], ...]:
    """A bat's own dimensions against their limits: (what, measured and limit, whether it holds)."""
    if layout.item.kind is not ItemKind.BAT:
        return ()
    of_shape = _rules(books, _OF_SHAPE)
    return tuple((f.title, _short(f), f.ok) for f in layout.findings if f.rule in of_shape)


def _rules(books: Sequence[RuleBook], checks: frozenset[Check]) -> set[str]:
    return {
        f"{book.key}/{rule.key}" for book in books for rule in book.rules if rule.check in checks
    }
