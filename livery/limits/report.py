"""From rule books and a scene to findings: every rule shown, the strictest named."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from livery.limits.model import Finding, Rule, RuleBook
from livery.limits.reading import Reading
from livery.limits.registry import CHECKS, Check
from livery.limits.scene import Scene

UMPIRES_DECIDE = "Umpires and the competition decide; check the current editions."
"""What every report of findings must say."""


def check_scene(scene: Scene, books: Sequence[RuleBook]) -> tuple[Finding, ...]:
    """Hold a scene against every rule of every book.

    Returns:
        A finding for every rule and subject it governs, held or broken, in the books' order.
        Where several rules limit one thing, each says whether it is the strictest.
    """
    found: list[tuple[tuple[str, ...], Finding]] = []
    for book in books:
        for rule in book.rules:
            decide = CHECKS[Check(rule.check)].decide
            for reading in decide(scene, rule) if decide else ():
                found.append((_limited_thing(rule, reading), _find(book, rule, reading)))
    return _name_strictest(found, titles_of(books))


def source_of(rule: Rule) -> str:
    """Where a rule stands, and how its wording was obtained."""
    clause = f", {rule.clause}" if rule.clause else ""
    return f"{rule.source}{clause} ({rule.standing})"


def titles_of(books: Sequence[RuleBook]) -> dict[str, str]:
    """Rules as people say them, with their book, by the names that findings give them."""
    return {
        f"{book.key}/{rule.key}": f"“{rule.title}” ({book.key})"
        for book in books
        for rule in book.rules
    }


def _find(book: RuleBook, rule: Rule, reading: Reading) -> Finding:
    return Finding(
        rule=f"{book.key}/{rule.key}",
        severity=rule.severity,
        subject=reading.subject,
        measured=reading.measured,
        limit=reading.limit,
        margin=reading.margin,
        unit=reading.unit,
        source=source_of(rule),
        text=f"{rule.title}: {reading.text}",
        ok=reading.margin >= 0.0,
        title=rule.title,
    )


def _limited_thing(rule: Rule, reading: Reading) -> tuple[str, ...]:
    """What two rules must share to limit the same thing."""
    return (rule.check, reading.subject, reading.what)


def _name_strictest(
    found: Sequence[tuple[tuple[str, ...], Finding]], titles: Mapping[str, str]
) -> tuple[Finding, ...]:
    strictest: dict[tuple[str, ...], Finding] = {}
    count: dict[tuple[str, ...], int] = {}
    for thing, finding in found:
        count[thing] = count.get(thing, 0) + 1
        if thing not in strictest or finding.margin < strictest[thing].margin:
            strictest[thing] = finding
    named = []
    for thing, finding in found:
        if count[thing] > 1:
            word = _rank(finding, strictest[thing], count[thing], titles)
            finding = replace(finding, text=f"{finding.text}; {word}")
        named.append(finding)
    return tuple(named)


def _rank(finding: Finding, best: Finding, count: int, titles: Mapping[str, str]) -> str:
    if best is finding:
        return f"the strictest of {count}"
    if best.margin == finding.margin:
        return f"as strict as {titles[best.rule]}"
    return f"{titles[best.rule]} is stricter"
