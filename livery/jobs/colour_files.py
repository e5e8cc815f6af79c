"""Measurements of an instrument: into targets and palettes, and aims out to it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from livery.capture import with_measured, write_target
from livery.capture.model import Target
from livery.colour import ciede2000
from livery.drawing import LabColour
from livery.errors import ExchangeError, Fault
from livery.jobs.photographs import find_target
from livery.scheme import load_season
from livery.scheme.exchange import (
    Conditions,
    MeasurementCondition,
    Reading,
    Settled,
    Unit,
    read_colours,
    render_cgats,
    render_cxf,
    settle,
)
from livery.scheme.exchange.model import SettledReading
from livery.scheme.fields import LONGEST_KEY, LONGEST_WORDS
from livery.scheme.model import Ink
from livery.scheme.palettes import AIMS, check_aim
from livery.writing import write_whole

_FAR_DE00 = 12.0
"""Median from asked to read that no printer's error explains. Source: workshop-choice."""


@dataclass(frozen=True, slots=True)
class FileTerms:
    """How a colour file is to be taken.

    Attributes:
        stated: what the user knows and the file does not say.
        accept: measurement conditions other than M1 that may be used as they are.
        reflectance: percent or unit, where the file leaves it open.
    """

    stated: Conditions = field(default_factory=Conditions)
    accept: frozenset[MeasurementCondition] = frozenset()
    reflectance: Unit | None = None


def read_terms(
    illuminant: str | None,
    observer: int | None,
    measurement: str | None,
    accept: Sequence[str],
    reflectance: str | None,
) -> FileTerms:
    """Turn words of a user into terms.

    Raises:
        ExchangeError: a word that is no light, observer, condition or unit.
    """
    faults = []
    conditions = [*([measurement] if measurement else []), *accept]
    names = [one.value for one in MeasurementCondition]
    for word in conditions:
        if word.upper() not in names:
            mend = f"Use one of {', '.join(names)}"
            faults.append(Fault("--measurement", "", None, f"{word!r} is no condition", mend))
    if illuminant is not None and illuminant.upper() not in ("D50", "D65"):
        found = f"{illuminant!r} cannot be used"
        faults.append(Fault("--illuminant", "", None, found, "Use D50 or D65"))
    if observer not in (None, 2, 10):
        faults.append(Fault("--observer", "", None, f"{observer} is no observer", "Use 2 or 10"))
    if reflectance is not None and reflectance not in list(Unit):
        found = f"{reflectance!r} is no unit"
        faults.append(Fault("--reflectance", "", None, found, "Use percent or unit"))
    if faults:
        raise ExchangeError(*faults)
    return FileTerms(
        Conditions(
            illuminant.upper() if illuminant else None,
            observer,
            MeasurementCondition(measurement.upper()) if measurement else None,
        ),
        frozenset(MeasurementCondition(word.upper()) for word in accept),
        Unit(reflectance) if reflectance else None,
    )


def read_settled(path: Path, terms: FileTerms) -> Settled:
    """Read a colour file and bring it to D50, 2°, M1.

    Raises:
        ExchangeError: every reason why it cannot be used.
    """
    return settle(read_colours(path, terms.reflectance), terms.stated, terms.accept)


def fill_target(
    target: str, file: Path, out: Path, terms: FileTerms
) -> tuple[int, int, tuple[str, ...]]:
    """Write a target whose patches carry what an instrument read on its print.

    Args:
        target: a target.toml.
        file: measurements, whose names or identifiers are the patches' names.
        out: the target.toml to write.
        terms: how the file is to be taken.

    Returns:
        How many patches are now measured, how many there are, and notes.

    Raises:
        ExchangeError: the file cannot be used, or names a patch twice.
        TargetError: the target cannot be read.
    """
    read = find_target(target)
    found = read_settled(file, terms)
    values: dict[str, LabColour] = {}
    unknown = []
    names = {patch.name.casefold(): patch.name for patch in read.patches}
    doubled: list[str] = []
    for reading in found.readings:
        keys = (reading.name.strip().casefold(), reading.id.strip().casefold())
        name = next((names[key] for key in keys if key in names), None)
        if name is None:
            unknown.append(reading.name)
        elif name in values:
            doubled.append(name)
        else:
            values[name] = reading.lab
    _check_names(found.source, doubled, bool(values), sorted(names.values()))
    notes = list(found.notes)
    if unknown:
        shown = ", ".join(unknown[:5]) + (", …" if len(unknown) > 5 else "")
        notes.append(f"{len(unknown)} samples are no patch of the target: {shown}")
    notes += _far_from_asked(read, values)
    filled = with_measured(read, values)
    write_target(filled, out)
    measured = sum(patch.measured for patch in filled.patches)
    return measured, len(filled.patches), tuple(notes)


def _far_from_asked(target: Target, values: Mapping[str, LabColour]) -> list[str]:
    """A note where most patches read unlike what the print was asked for, as in a wrong order."""
    pairs = [(p.lab, values[p.name]) for p in target.patches if p.name in values]
    asked, read = np.array(pairs, dtype=np.float64).reshape(-1, 2, 3).swapaxes(0, 1)
    median = float(np.median(ciede2000(asked, read)))
    if median <= _FAR_DE00:
        return []
    return [
        f"half the patches read over {median:.0f} ΔE00 from what the print was asked for: see "
        "that each was read under its own name, in the print's order"
    ]


def _check_names(source: str, doubled: Sequence[str], any_found: bool, names: list[str]) -> None:
    faults = [
        Fault(source, name, None, "this patch was measured twice", "Leave one of the two")
        for name in dict.fromkeys(doubled)
    ]
    if not any_found and not faults:
        mend = f"Name the samples as the patches are: {', '.join(names[:6])}, …"
        faults.append(Fault(source, "", None, "no sample is a patch of the target", mend))
    if faults:
        raise ExchangeError(*faults)


def write_palette(
    file: Path, out: Path, name: str, terms: FileTerms
) -> tuple[int, tuple[str, ...]]:
    """Write a palette whose aims are measured samples, with their spectra.

    Args:
        file: measurements.
        out: the palette's TOML file.
        name: what to call the palette.
        terms: how the file is to be taken.

    Returns:
        How many inks, and notes.

    Raises:
        ExchangeError: the file cannot be used, two samples have one name, or one can be no aim.
    """
    found = read_settled(file, terms)
    _check_lengths(found.source, [name, *(reading.name for reading in found.readings)])
    keys = [_key(reading.name) for reading in found.readings]
    twice = [key for key, count in Counter(keys).items() if count > 1]
    if twice or "" in keys:
        mend = "Give each sample a name of its own, with letters or digits"
        what = twice or ["a sample without a name"]
        raise ExchangeError(
            *(Fault(found.source, one, None, "no name of its own", mend) for one in what)
        )
    _check_aims(found)
    grids = {
        tuple(r.spectrum.wavelengths_nm.tolist()) for r in found.readings if r.spectrum is not None
    }
    grid = next(iter(grids)) if len(grids) == 1 else ()
    notes = found.notes
    if grid and not np.allclose(np.diff(grid), grid[1] - grid[0], atol=1e-9):
        grid, notes = (), (*notes, "wavelengths are rounded unevenly: the spectra are left out")
    lines = [
        "# Aims as an instrument measured them; finish and tolerance are yours to set.",
        f"name = {_text(name)}",
        f"source = {_text(f'Measured: {Path(found.source).name}, SHA-256 {found.digest}')}",
        *(f"# {note}" for note in notes),
        'illuminant = "D50"',
        'observer = "2"',
        'condition = "M1"',
    ]
    if grid:
        step = grid[1] - grid[0]
        lines += ["", "[spectra]", f"first_nm = {grid[0]:g}", f"last_nm = {grid[-1]:g}"]
        lines.append(f"step_nm = {step:g}")
    for key, reading in zip(keys, found.readings, strict=True):
        lines += _ink_lines(key, reading, bool(grid))
    write_whole(out, "\n".join(lines) + "\n")
    return len(keys), notes


def _check_aims(found: Settled) -> None:
    """Insist that a palette can hold every sample as an aim."""
    mend = f"Leave it out of the file: {AIMS}"
    wrong = [(one.name, check_aim(one.lab)) for one in found.readings]
    faults = [Fault(found.source, name, None, told, mend) for name, told in wrong if told]
    if faults:
        raise ExchangeError(*faults)


def _check_lengths(source: str, names: Sequence[str]) -> None:
    mend = f"Use at most {LONGEST_WORDS}"
    faults = [
        Fault(source, f"{name[:40]}…", None, f"a name of {len(name)} characters", mend)
        for name in names
        if len(name) > LONGEST_WORDS
    ]
    if faults:
        raise ExchangeError(*faults)


def _ink_lines(key: str, reading: SettledReading, with_spectrum: bool) -> list[str]:
    lab = ", ".join(f"{value:.4f}" for value in reading.lab)
    lines = ["", "[[inks]]", f"key = {_text(key)}", f"name = {_text(reading.name)}"]
    lines.append(f"lab = [{lab}]")
    if with_spectrum and reading.spectrum is not None:
        values = [f"{value!r}" for value in reading.spectrum.reflectance.tolist()]
        rows = [", ".join(values[at : at + 9]) for at in range(0, len(values), 9)]
        lines += ["spectrum = [", *(f"  {row}," for row in rows), "]"]
    return lines


def write_aims(season: Path, out: Path) -> int:
    """Write a season's aims for an instrument: CGATS or CxF, as the file's name ends.

    Returns:
        How many aims.

    Raises:
        SeasonError: the season cannot be read.
        ExchangeError: the name ends otherwise, or the form cannot express them.
    """
    form = out.suffix.lower()
    if form not in (".txt", ".cxf"):
        found = f"aims are not written as {form!r}" if form else "its name does not say which form"
        mend = "End its name in .txt for CGATS text, or in .cxf for CxF"
        raise ExchangeError(Fault(str(out), "", None, found, mend))
    scheme = load_season(season)
    conditions = Conditions("D50", 2, MeasurementCondition.M1)
    readings = [_aim(ink, conditions) for ink in scheme.palette.inks]
    if any(reading.spectrum is None for reading in readings):  # one table holds all or none
        readings = [Reading(r.name, r.id, r.lab, None, conditions) for r in readings]
    words = f"{scheme.name}, revision {scheme.revision}: aims of {scheme.palette.name}"
    if form == ".cxf":
        write_whole(out, render_cxf(readings, words, scheme.workshop or "livery", scheme.date))
    else:
        write_whole(out, render_cgats(readings, words, scheme.workshop or "livery"))
    return len(readings)


def _aim(ink: Ink, conditions: Conditions) -> Reading:
    return Reading(ink.name, ink.key, ink.lab, ink.spectrum, conditions)


def _key(name: str) -> str:
    """A name as an ink's key: lower case, letters, digits and dashes."""
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:LONGEST_KEY]


def _text(value: str) -> str:
    """A TOML string; control characters become blanks."""
    plain = "".join(letter if letter.isprintable() else " " for letter in value)
    return '"' + plain.replace("\\", "\\\\").replace('"', '\\"') + '"'
