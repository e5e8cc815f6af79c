"""Rule books as data, and what checking against them finds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """What a finding does to the build. ``limit`` makes ``livery check`` exit 1."""

    LIMIT = "limit"
    ADVICE = "advice"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule.

    Attributes:
        check: name of the check that decides it (confined-within, share-of-area-at-most...).
        parameters: what the check needs, mm, mm² or a share 0..1.
        surfaces: surface keys it governs.
        roles: decal roles it governs.
        clause: where in the source, e.g. "Appendix B.6".
        standing: how the wording was obtained ("read", "from memory; check the current edition").
        reading: the reading taken where the wording is open.
    """

    key: str
    title: str
    check: str
    parameters: Mapping[str, float | str]
    surfaces: tuple[str, ...]
    roles: tuple[str, ...]
    severity: Severity
    source: str
    clause: str
    standing: str
    reading: str = ""


@dataclass(frozen=True, slots=True)
class RuleBook:
    """Rules of one authority."""

    key: str
    title: str
    rules: tuple[Rule, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule applied to one subject: never just a yes or no.

    Attributes:
        subject: item, size, hand, surface and placement, as people say it.
        measured, limit: in ``unit``.
        margin: how far inside the limit; negative is outside.
        ok: whether the limit holds (a margin of exactly 0 holds).
        title: of the rule, in its book's words; empty for what no book says.
    """

    rule: str
    severity: Severity
    subject: str
    measured: float
    limit: float
    margin: float
    unit: str
    source: str
    text: str
    ok: bool
    title: str = ""
