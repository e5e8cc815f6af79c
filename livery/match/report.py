"""The report of one kit on two pages: verdicts, then plots, lights, remedies and evidence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from livery.artwork.typesetting import wrap_text
from livery.drawing import Anchor, Drawing, Element, Label, Layer, LayerKind, Page, Shape
from livery.geometry import Path
from livery.match.compact import draw_matrix
from livery.match.findings import Evidence, Findings
from livery.match.marks import PAGE_MM, PAPER, Box, count_verdicts, fit_text, write_text
from livery.match.model import Verdict
from livery.match.plots import InkPlot, collect_plots, draw_plot
from livery.match.say import say_common, say_light, say_remarks, say_remedy
from livery.scheme.model import Palette
from livery.units import pt_to_mm

_MARGIN, _TYPE_PT = 12.0, 7.0  # workshop choice
_LINE = pt_to_mm(_TYPE_PT) * 1.32
_PLOTS = 6
_WORDS_HIGH = 58.0


def report_drawing(findings: Findings, palette: Palette, title: str, date: str = "") -> Drawing:
    """Draw the report: never more than two pages, whatever it has to leave to the other files.

    Args:
        findings: everything found.
        palette: aims and names of the inks.
        title: what was judged.
        date: ISO 8601, for the document.

    Returns:
        Two pages of A4 landscape, mm.

    Source:
        [source: workshop-choice]
    """
    pages = (_verdicts(findings, palette, title), _background(findings, palette, title))
    return Drawing(title, pages, date=date)


def _verdicts(findings: Findings, palette: Palette, title: str) -> Page:
    counts = count_verdicts(findings.comparisons)
    worst = [one for one in findings.comparisons if one.verdict is not Verdict.PASS]
    worst.sort(key=lambda one: (one.verdict is not Verdict.FAIL, one.margin))
    names = palette.names
    lines = [f"{names.get(c.ink, c.ink)}, {c.a} to {c.b}: {c.reason}" for c in worst]
    lines += say_remarks(findings.remarks, names)
    low = _MARGIN + 34.0 if lines else _MARGIN
    high = PAGE_MM[1] - _MARGIN - 16.0
    key = (
        "Each swatch shows the first named on the left, the second on the right. "
        "CIEDE2000 with its 95 % uncertainty."
    )
    elements = _heading(title, counts)
    elements.append(write_text(key, _MARGIN, PAGE_MM[1] - _MARGIN - 11, 8))
    elements += draw_matrix(
        findings.comparisons, names, Box(_MARGIN, low, PAGE_MM[0] - 2 * _MARGIN, high - low)
    )
    elements += _column("What stands out", lines, _MARGIN, low - 5.0, 273.0, _MARGIN)
    return _page(elements, "Verdicts")


def _background(findings: Findings, palette: Palette, title: str) -> Page:
    names = palette.names
    key = (
        "Cross hair: aim. Solid line: where ΔE00 is the tolerance, in the plane through the aim. "
        "Dashed: 95 % uncertainty. Disc pass, cross fail, triangle re-shoot."
    )
    elements = _heading(title, "")
    elements.append(write_text(key, _MARGIN, PAGE_MM[1] - _MARGIN - 11, 8))
    shown = _worst_plots(findings, palette)
    elements += _plots(shown)
    width = (PAGE_MM[0] - 2 * _MARGIN - 16.0) / 3
    top = _MARGIN + _WORDS_HIGH - 4.0
    columns = (
        ("Under other lights", _lights(findings, names)),
        ("What would mend it", _mending(findings, names)),
        ("Evidence", [*map(_say_evidence, findings.evidence), *findings.notes]),
    )
    for number, (head, lines) in enumerate(columns):
        x = _MARGIN + number * (width + 8.0)
        elements += _column(head, lines, x, top, width, _MARGIN - 4.0)
    return _page(elements, "Plots, lights, remedies, evidence")


def _lights(findings: Findings, names: Mapping[str, str]) -> list[str]:
    if not findings.lights:
        return ["No spectra were given: one photograph cannot tell how other lights change it."]
    apart = sorted(findings.lights, key=lambda one: one.tolerance - one.worst.de00)
    return [say_light(one, names) for one in apart]


def _mending(findings: Findings, names: Mapping[str, str]) -> list[str]:
    lines = [say_remedy(one, names) for one in findings.remedies]
    lines += [say_common(one, names) for one in findings.common_aims]
    return lines or ["Nothing fails, or nothing that fails is printed here."]


def _say_evidence(one: Evidence) -> str:
    text = f"{one.kind} {one.name}: {one.digest}"
    return f"{text}, of the photograph {one.photograph}" if one.photograph else text


def _worst_plots(findings: Findings, palette: Palette) -> Sequence[InkPlot]:
    """The inks that have most to show, in the palette's order."""
    plots = collect_plots(findings.comparisons, palette)
    severity = (Verdict.PASS, Verdict.RESHOOT, Verdict.FAIL)
    ranked = sorted(
        plots, key=lambda plot: -max(severity.index(item.verdict) for item in plot.items)
    )
    kept = {id(plot) for plot in ranked[:_PLOTS]}
    return [plot for plot in plots if id(plot) in kept]


def _plots(plots: Sequence[InkPlot]) -> list[Element]:
    across = 3
    width = (PAGE_MM[0] - 2 * _MARGIN - 2 * 4.0) / across
    top = PAGE_MM[1] - _MARGIN - 14.0
    height = (top - _MARGIN - _WORDS_HIGH - 2.0) / 2 - 2.0
    elements: list[Element] = []
    for number, plot in enumerate(plots):
        x = _MARGIN + number % across * (width + 4.0)
        y = top - (number // across + 1) * (height + 2.0)
        elements += draw_plot(plot, Box(x, y, width, height))
    if not plots:
        words = "No ink was held against an aim: there is nothing to plot."
        elements.append(write_text(words, _MARGIN, top - 10, 9))
    return elements


def _heading(title: str, right: str) -> list[Element]:
    top = PAGE_MM[1] - _MARGIN
    return [
        write_text(fit_text(title, 190, 15), _MARGIN, top - 5, 15, bold=True),
        write_text(right, PAGE_MM[0] - _MARGIN, top - 5, 11, anchor=Anchor.END),
    ]


def _column(
    head: str, lines: Sequence[str], x: float, top: float, width: float, floor: float
) -> list[Element]:
    """Sentences under a heading, as many as there is room for; the rest is counted."""
    if not lines:
        return []
    elements: list[Element] = [write_text(head, x, top, 9, bold=True)]
    y = top - 4.6
    for number, text in enumerate(lines):
        wrapped = wrap_text(text, _TYPE_PT, width)
        last = number == len(lines) - 1
        if y - _LINE * (len(wrapped) - 1 + (not last)) < floor:
            more = f"… and {len(lines) - number} more: see match.html."
            elements.append(write_text(more, x, y, _TYPE_PT))
            break
        for line in wrapped:
            elements.append(write_text(line, x, y, _TYPE_PT))
            y -= _LINE
        y -= 0.6
    return elements


def _page(elements: Sequence[Element], title: str) -> Page:
    ground = Shape(Path.rectangle(0, 0, *PAGE_MM), fill=PAPER)
    kept = [one for one in elements if not (isinstance(one, Label) and not one.text)]
    layer = Layer("report", LayerKind.INFORMATION, (ground, *kept))
    return Page(*PAGE_MM, (layer,), title=title)
