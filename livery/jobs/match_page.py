"""The report of a match as one page of HTML: its two sheets, then everything behind them."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from livery.drawing import Drawing
from livery.jobs.index import Section
from livery.match.findings import Findings
from livery.match.marks import count_verdicts
from livery.match.model import Comparison, Verdict
from livery.match.say import say_common, say_remarks, say_remedy
from livery.output import render_svg
from livery.scheme.model import Scheme

_GRAVITY = (Verdict.FAIL, Verdict.RESHOOT, Verdict.PASS)


@dataclass(frozen=True, slots=True)
class _Sheet:
    alt: str
    data: str


def render_match(findings: Findings, scheme: Scheme, report: Drawing) -> str:
    """The page, whole in one file but for the evidence it links.

    Args:
        findings: everything found.
        scheme: the season.
        report: as ``report_drawing`` gives it.
    """
    from jinja2 import Environment

    environment = Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
    source = files("livery.data").joinpath("pages/match.html.j2").read_text("utf-8")
    names = scheme.palette.names
    sheets = [
        _Sheet(page.title, base64.b64encode(render_svg(report, number).encode()).decode("ascii"))
        for number, page in enumerate(report.pages)
    ]
    return environment.from_string(source).render(
        title=report.title,
        note=scheme.note,
        counts=count_verdicts(findings.comparisons) or "Nothing to compare",
        sheets=sheets,
        sections=_sections(findings, names),
    )


def evidence_name(name: str, digest: str) -> str:
    """Where a file of evidence is kept, relative to the page."""
    return f"evidence/{digest}{Path(name).suffix.lower()}"


def _sections(findings: Findings, names: Mapping[str, str]) -> tuple[Section, ...]:
    mending = [say_remedy(one, names) for one in findings.remedies]
    mending += [say_common(one, names) for one in findings.common_aims]
    kept = dict.fromkeys(evidence_name(one.name, one.digest) for one in findings.evidence)
    return (
        Section(
            "all",
            "Every comparison",
            tuple(say_remarks(findings.remarks, names)),
            head=("verdict", "ink", "pair", "ΔE00", "tolerance", "why"),
            rows=_rows(findings.comparisons, names),
        ),
        _lights(findings, names),
        Section("mending", "What would mend it", tuple(mending) or ("Nothing needs mending.",)),
        Section(
            "evidence",
            "Evidence",
            ("Each file is kept under its SHA-256.", *(f"{note}." for note in findings.notes)),
            files=tuple(kept),
            head=("kind", "file", "SHA-256", "SHA-256 of the photograph"),
            rows=tuple((e.kind, e.name, e.digest, e.photograph) for e in findings.evidence),
        ),
    )


def _rows(
    comparisons: Sequence[Comparison], names: Mapping[str, str]
) -> tuple[tuple[str, ...], ...]:
    """What fails first, then what is undecided, then what passes; each in its own order."""
    ordered = sorted(comparisons, key=lambda one: _GRAVITY.index(one.verdict))
    return tuple(
        (
            str(c.verdict),
            names.get(c.ink, c.ink),
            f"{c.a} to {c.b}",
            f"{c.de00:.2f} ± {c.u95:.2f}",
            f"{c.tolerance:g} {c.basis}",
            c.reason,
        )
        for c in ordered
    )


def _lights(findings: Findings, names: Mapping[str, str]) -> Section:
    if not findings.lights:
        words = "No spectra were given: one photograph cannot tell how other lights change it."
        return Section("lights", "Under other lights", (words,))
    rows = tuple(
        (
            names.get(one.ink, one.ink),
            f"{one.a} to {one.b}",
            *(f"{under.de00:.1f}" for under in one.lights),
            f"{one.worst.index:.1f}",
            one.words,
        )
        for one in findings.lights
    )
    lights = [one.light for one in findings.lights[0].lights]
    intro = (
        "ΔE00 under each light, and under the worst the special metamerism index of ISO 18314-4 "
        "(known second-hand), multiplicative correction, in ΔE00.",
    )
    head = ("ink", "pair", *lights, "index", "in words")
    return Section("lights", "Under other lights", intro, head=head, rows=rows)
