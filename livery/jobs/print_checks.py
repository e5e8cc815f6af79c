"""A batch back from the printer: from files to an outcome, and pictures of it."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from livery.capture.model import Capture
from livery.drawing import LabColour
from livery.errors import ExchangeError, Fault
from livery.jobs.colour_files import FileTerms, read_settled
from livery.match import read_capture
from livery.match.batch_drawing import batch_drawing
from livery.match.patch_names import parse_patch
from livery.match.print_check import INSTRUMENT_SD, SOURCES, check_print, name_inks
from livery.match.print_model import PatchReading, PrintCheck
from livery.output import write_pdf, write_png, write_svg
from livery.scheme import load_season
from livery.scheme.model import Palette
from livery.writing import StagedFolder, write_whole

_AS_WRITTEN = 0.02
"""In L*, a* and b*: an aim written with one digit, or as a spectrum. Source: workshop-choice."""


def check_batch(
    season: Path,
    files: Sequence[Path],
    approved: Path | None,
    terms: FileTerms,
    out: Path | None,
) -> tuple[PrintCheck, Palette, tuple[str, ...]]:
    """Check a batch, one file a sheet in order, or sheets named within a file.

    Args:
        season: the season file.
        files: measurements (CGATS, CxF) or captures (JSON).
        approved: the approved sheet's measurements, to be the aim.
        terms: how measurements are to be taken.
        out: folder for charts and data; nothing is written without.

    Returns:
        The check, the palette it was held against, and notes on the files.

    Raises:
        SeasonError, ExchangeError, TargetError: a file cannot be used, or holds the aims.
    """
    palette = load_season(season).palette
    notes: list[str] = []
    sheets = _sheet_names(files)
    readings = [
        one
        for path, sheet in zip(files, sheets, strict=True)
        for one in _read(path, sheet, palette, terms, notes)
    ]
    agreed = _read(approved, "approved", palette, terms, notes) if approved is not None else ()
    check = check_print(readings, palette, agreed)
    if out is not None:
        _write(check, palette, tuple(notes), out)
    return check, palette, tuple(dict.fromkeys(notes))


def print_data(check: PrintCheck, palette: Palette, notes: Sequence[str]) -> dict[str, object]:
    """The check as data for ``--json``."""
    return {
        "outcome": str(check.outcome),
        "reasons": list(check.reasons),
        "inks": [
            {
                "ink": name_inks(one.inks, palette),
                "readings": one.readings,
                "sheets": one.sheets,
                "aim": list(one.aim),
                "mean": list(one.mean),
                "off_aim": one.off_aim,
                "mean_de00": one.mean_de00,
                "p95_de00": one.p95_de00,
                "worst_de00": one.worst_de00,
                "worst_sheet": one.worst_sheet,
                "spread": one.spread,
                "tolerance": one.tolerance,
                "verdict": str(one.verdict),
                "reason": one.reason,
            }
            for one in check.inks
        ],
        "sheets": [
            {
                "sheet": one.sheet,
                "mean_de00": one.mean_de00,
                "worst_de00": one.worst_de00,
                "worst_ink": one.worst_ink,
                "uneven_de00": one.uneven_de00,
                "uneven_ink": one.uneven_ink,
                "outcome": str(one.outcome),
                "reasons": list(one.reasons),
            }
            for one in check.sheets
        ],
        "tints": [
            {
                "ink": name_inks((one.ink,), palette),
                "tint": one.tint,
                "wanted": one.wanted,
                "mean": one.mean,
                "worst": one.worst,
                "worst_sheet": one.worst_sheet,
                "ok": one.ok,
            }
            for one in check.tints
        ],
        "notes": [*check.notes, *notes],
        "sources": list(SOURCES),
    }


def _sheet_names(files: Sequence[Path]) -> list[str]:
    """A name for each file's sheet: its stem, or its path where stems are alike."""
    stems = [path.name.removesuffix(".json").removesuffix(".capture") for path in files]
    stems = [Path(stem).stem if "." in stem else stem for stem in stems]
    counts = Counter(stems)
    return [
        stem if counts[stem] == 1 else str(path) for stem, path in zip(stems, files, strict=True)
    ]


def _read(
    path: Path, sheet: str, palette: Palette, terms: FileTerms, notes: list[str]
) -> tuple[PatchReading, ...]:
    if path.suffix.lower() == ".json":
        return _from_capture(read_capture(path), sheet, palette, path, notes)
    settled = read_settled(path, terms)
    notes += [f"{path.name}: {note}" for note in settled.notes]
    cov = np.eye(3) * INSTRUMENT_SD**2
    readings, unknown = [], []
    for one in settled.readings:
        patch = parse_patch(one.name, palette) or parse_patch(one.id, palette)
        if patch is None:
            unknown.append(one.name)
            continue
        on = patch.sheet or sheet
        readings.append(PatchReading(on, patch.inks, patch.tint, one.lab, cov, patch.place))
    known = _known(readings, unknown, palette, path, notes)
    _refuse_aims(known, palette, path)
    return known


def _refuse_aims(readings: Sequence[PatchReading], palette: Palette, path: Path) -> None:
    """No press meets every aim to the last digit: such a file was written, not measured.

    Raises:
        ExchangeError: every solid is at its aim.
    """
    solids = [one for one in readings if len(one.inks) == 1 and one.tint == 1.0]
    off = [np.subtract(one.lab, palette.ink(one.inks[0]).lab) for one in solids]
    if off and np.abs(off).max() <= _AS_WRITTEN:
        found = "its solids are the season's own aims, to the last digit"
        mend = "Name the file of what the instrument read on the printed sheets"
        raise ExchangeError(Fault(str(path), "", None, found, mend))


def _from_capture(
    capture: Capture, sheet: str, palette: Palette, path: Path, notes: list[str]
) -> tuple[PatchReading, ...]:
    """A photograph's samples; one that failed a gate, or is not absolute, is no evidence."""
    readings, unknown = [], []
    for one in capture.samples:
        patch = parse_patch(one.name, palette)
        inks = patch.inks if patch else (one.ink,) if one.ink in palette.keys else None
        if inks is None:
            unknown.append(one.name)
            continue
        failed = [g for g in capture.gates if not g.ok and g.region in ("", one.name)]
        advice = f"{failed[0].gate}: {failed[0].advice}" if failed else ""
        if not advice and not capture.absolute:
            advice = "the target's values are nominal: have its patches measured"
        tint, place = (patch.tint, patch.place) if patch else (1.0, one.item)
        lab: LabColour = (float(one.lab[0]), float(one.lab[1]), float(one.lab[2]))
        on = patch.sheet if patch and patch.sheet else sheet
        readings.append(PatchReading(on, inks, tint, lab, one.cov, place, advice))
    return _known(readings, unknown, palette, path, notes)


def _known(
    readings: list[PatchReading],
    unknown: list[str],
    palette: Palette,
    path: Path,
    notes: list[str],
) -> tuple[PatchReading, ...]:
    names = ", ".join(ink.name for ink in palette.inks)
    if not readings:
        found = "no sample is named as a patch of the control strip"
        mend = f"Name samples by ink and tint, as 'Tarn 50 %'; the inks are {names}"
        raise ExchangeError(Fault(str(path), "", None, found, mend))
    if unknown:
        shown = ", ".join(name[:40] for name in unknown[:4]) + (", …" if len(unknown) > 4 else "")
        notes.append(f"{path.name}: {len(unknown)} samples name no ink of the season: {shown}")
    return tuple(readings)


def _write(check: PrintCheck, palette: Palette, notes: tuple[str, ...], out: Path) -> None:
    with StagedFolder(out, "print-check") as staged:
        drawing = batch_drawing(check, palette)
        write_svg(drawing, staged.path / "print-check.svg")
        write_pdf(drawing, staged.path / "print-check.pdf")
        write_png(drawing, staged.path / "print-check.png")
        data = json.dumps(print_data(check, palette, notes), indent=1, ensure_ascii=False)
        write_whole(staged.path / "print-check.json", data + "\n")
