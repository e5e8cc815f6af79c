"""A rule's parameters, by kind."""

from __future__ import annotations

from livery.limits.model import Rule


def number(rule: Rule, name: str) -> float:
    """A length in mm, an area in mm², a share or a count that the rule must hold.

    Raises:
        KeyError: the rule lacks it; books are checked for that when read.
    """
    return float(rule.parameters[name])


def optional_number(rule: Rule, name: str) -> float | None:
    """The same, of a parameter that the rule may hold."""
    return float(rule.parameters[name]) if name in rule.parameters else None


def word(rule: Rule, name: str, default: str = "") -> str:
    """A word that the rule may hold."""
    return str(rule.parameters.get(name, default))


def words(rule: Rule, name: str) -> tuple[str, ...]:
    """Words separated by spaces or commas."""
    return tuple(word(rule, name).replace(",", " ").split())
