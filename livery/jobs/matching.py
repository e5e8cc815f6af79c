"""From captures and spectra to everything a match says, and its report."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

from livery.capture.model import Capture
from livery.colour import LIGHTS, Illuminant
from livery.errors import ExchangeError, Fault
from livery.jobs.colour_files import FileTerms, read_settled
from livery.jobs.match_page import evidence_name, render_match
from livery.match import (
    MeasuredSpectrum,
    compare,
    compare_under_lights,
    item_names,
    list_remarks,
    match_drawing,
    plots_drawing,
    read_capture,
)
from livery.match.findings import Evidence, Findings
from livery.match.misleading_light import find_misleading_light
from livery.match.patch_names import LONGEST_NAME
from livery.match.remedy import find_common_aims, find_remedies
from livery.match.report import report_drawing
from livery.match.tolerance import Names
from livery.output import write_pdf, write_png, write_svg
from livery.scheme.exchange import read_light
from livery.scheme.model import Palette, Scheme
from livery.writing import StagedFolder, write_whole


@dataclass(frozen=True, slots=True)
class MatchInputs:
    """What to judge.

    Attributes:
        captures: capture files.
        reference: capture of what was signed off, or None.
        spectra: instrument files whose samples are named by item and ink.
        lights: spectra of lights, beside the packaged ones.
        terms: how instrument files are to be taken.
    """

    captures: tuple[Path, ...]
    reference: Path | None = None
    spectra: tuple[Path, ...] = ()
    lights: tuple[Path, ...] = ()
    terms: FileTerms = field(default_factory=FileTerms)


def match_season(scheme: Scheme, inputs: MatchInputs, out: Path | None = None) -> Findings:
    """Judge evidence against a season; with ``out``, write the report.

    Raises:
        TargetError, ExchangeError: a file cannot be used.
    """
    captures = [read_capture(path) for path in inputs.captures]
    signed = [read_capture(inputs.reference)] if inputs.reference is not None else []
    names, titles = item_names(scheme), scheme.item_titles
    palette, tolerances = scheme.palette, scheme.tolerances
    comparisons = compare(captures, palette, tolerances, signed, names=names, titles=titles)
    notes: list[str] = []
    spectra = [
        one for path in inputs.spectra for one in _spectra(path, palette, inputs.terms, notes)
    ]
    lights: list[str | Illuminant] = [*LIGHTS, *(read_light(path) for path in inputs.lights)]
    press = scheme.profile.press
    findings = Findings(
        comparisons,
        find_misleading_light(comparisons) + list_remarks(captures, palette, reference=signed),
        compare_under_lights(spectra, palette, tolerances, lights, names=names),
        find_remedies(comparisons, palette, _printed(scheme, names), press, titles),
        find_common_aims(comparisons, press),
        _evidence(inputs, captures, signed),
        tuple(dict.fromkeys(notes)),
    )
    if out is not None:
        _write(findings.named(titles), scheme, inputs, out)
    return findings


def findings_data(findings: Findings) -> dict[str, object]:
    """Everything for ``--json``."""
    return {
        "comparisons": [
            {**asdict(one), "verdict": str(one.verdict)} for one in findings.comparisons
        ],
        "remarks": [asdict(one) for one in findings.remarks],
        "lights": [asdict(one) for one in findings.lights],
        "remedies": [asdict(one) for one in findings.remedies],
        "common_aims": [asdict(one) for one in findings.common_aims],
        "evidence": [asdict(one) for one in findings.evidence],
        "notes": list(findings.notes),
    }


def _spectra(
    path: Path, palette: Palette, terms: FileTerms, notes: list[str]
) -> tuple[MeasuredSpectrum, ...]:
    """Spectra of a file, their samples named as ``bat-ember``, ``Ember, bat`` or the ink alone."""
    settled = read_settled(path, terms)
    notes += [f"{path.name}: {note}" for note in settled.notes]
    found = []
    unknown = []
    for one in settled.readings:
        named = name_item_and_ink(one.name, palette) or name_item_and_ink(one.id, palette)
        if named is None:
            unknown.append(one.name)
        elif one.spectrum is not None:
            item = named[0] or path.stem
            found.append(MeasuredSpectrum(named[1], item, one.spectrum, settled.digest))
    if not found:
        words = "no sample with a spectrum names an ink of the season"
        mend = "Name samples by item and ink, as 'bat-ember'"
        raise ExchangeError(Fault(str(path), "", None, words, mend))
    if unknown:
        first = ", ".join(name[:40] for name in unknown[:4])
        notes.append(f"{path.name}: {first} name no ink of the season")
    return tuple(found)


def name_item_and_ink(name: str, palette: Palette) -> tuple[str, str] | None:
    """An ink's key or name at either end of a name; what is left is the item."""
    if len(name) > LONGEST_NAME:
        return None
    known = {word: ink.key for ink in palette.inks for word in (ink.key, ink.name)}
    for word in sorted(known, key=len, reverse=True):
        part = re.escape(word)
        for pattern in (rf"(?P<item>.*?)[\s/:,._-]*\b{part}", rf"{part}\b[\s/:,._-]*(?P<item>.*)"):
            if matched := re.fullmatch(pattern, name.strip(), re.IGNORECASE):
                return matched["item"].strip(" /:,._-"), known[word]
    return None


def _printed(scheme: Scheme, names: Names) -> dict[str, frozenset[str]]:
    """Ink to items that are on the printer's stock and so can be printed again."""
    found: dict[str, set[str]] = {}
    for (item, ink), answers in names.items():
        if scheme.profile.stock in answers:
            found.setdefault(ink, set()).add(item)
    return {ink: frozenset(items) for ink, items in found.items()}


def _evidence(
    inputs: MatchInputs, captures: Sequence[Capture], signed: Sequence[Capture]
) -> tuple[Evidence, ...]:
    found = [
        Evidence(path.name, "capture", _digest(path), capture.source)
        for path, capture in zip(inputs.captures, captures, strict=True)
    ]
    if inputs.reference is not None:
        source = signed[0].source
        found.append(
            Evidence(inputs.reference.name, "reference", _digest(inputs.reference), source)
        )
    found += [Evidence(path.name, "spectra", _digest(path)) for path in inputs.spectra]
    found += [Evidence(path.name, "light", _digest(path)) for path in inputs.lights]
    return tuple(found)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _write(findings: Findings, scheme: Scheme, inputs: MatchInputs, out: Path) -> None:
    """The report as PDF and HTML, its pictures at full size, and the evidence by digest."""
    title = f"Colour match: {scheme.name}, revision {scheme.revision}"
    with StagedFolder(out, "match") as staged:
        folder = staged.path
        matrix = match_drawing(findings.comparisons, scheme.palette)
        write_svg(matrix, folder / "match.svg")
        write_png(matrix, folder / "match.png")
        write_svg(plots_drawing(findings.comparisons, scheme.palette), folder / "plots.svg")
        report = report_drawing(findings, scheme.palette, title, scheme.date)
        write_pdf(report, folder / "match.pdf")
        write_whole(folder / "match.html", render_match(findings, scheme, report))
        every = [*inputs.captures, *inputs.spectra, *inputs.lights]
        every += [inputs.reference] if inputs.reference is not None else []
        for path in every:
            write_whole(folder / evidence_name(path.name, _digest(path)), path.read_bytes())
