"""CGATS text, ISO 28178, becomes readings."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from livery.drawing import lab_colour
from livery.errors import ExchangeError, Fault
from livery.scheme.exchange.cgats_lines import Row, Table, read_tables
from livery.scheme.exchange.conditions import read_conditions
from livery.scheme.exchange.decoding import refuse
from livery.scheme.exchange.model import ColourFile, Conditions, Reading, Unit
from livery.scheme.exchange.numbers import (
    as_factor,
    check_lab,
    check_wavelengths,
    decide_unit,
    parse_numbers,
)
from livery.scheme.exchange.unit import settle_by_lab
from livery.scheme.model import Spectrum

_WAVE = re.compile(
    r"(?:SPECTRAL|SPECTRUM|SPEC|REFLECTANCE|REFL|R|NM)?_?(?:NM|PCT|DEC)?_?"
    r"(\d{3,4}(?:[.,]\d+)?)(?:_?NM)?",
    re.IGNORECASE | re.ASCII,
)
_LAB = (
    ("LAB_L", "L*", "LAB_L*", "CIE_L"),
    ("LAB_A", "A*", "LAB_A*", "CIE_A"),
    ("LAB_B", "B*", "LAB_B*", "CIE_B"),
)
_NAMES = ("SAMPLE_NAME", "SAMPLENAME", "NAME", "STRING", "PATCH_NAME")
_IDS = ("SAMPLE_ID", "SAMPLEID", "ID", "SAMPLE_LOC", "SAMPLE_NO")
_PAIRED = {"SPECTRAL_PCT": Unit.PERCENT, "SPECTRAL_DEC": Unit.UNIT}


@dataclass(frozen=True, slots=True)
class _Columns:
    """Where things stand in a row.

    Attributes:
        waves: wavelengths, rising; empty where each row names its own.
        spectral: places of the reflectances, in the same order.
        wave_places: places of the wavelengths in each row, where rows name their own.
        unit: what the columns' names say of the reflectances.
    """

    name: int | None
    id: int | None
    lab: tuple[int, ...]
    waves: tuple[float, ...]
    spectral: tuple[int, ...]
    wave_places: tuple[int, ...]
    unit: Unit | None


@dataclass(frozen=True, slots=True)
class _Raw:
    name: str
    id: str
    lab: tuple[Decimal, ...]
    waves: tuple[float, ...]
    spectral: tuple[Decimal, ...]
    conditions: Conditions
    line: int


def read_cgats(
    text: str, shown: str, stated: Unit | None = None, notes: tuple[str, ...] = ()
) -> ColourFile:
    """Read a CGATS text.

    Args:
        text: the file's text.
        shown: its path, for messages.
        stated: what the user says reflectances are; needed only where the file leaves it open.
        notes: of reading so far.

    Raises:
        ExchangeError: every fault found.

    Source:
        [source: iso-28178]
    """
    tables = [table for table in read_tables(text, shown) if _has_colour(table.columns)]
    if not tables:
        found = "no table has Lab or spectral columns"
        refuse(shown, found, "Export LAB_L, LAB_A, LAB_B or a spectrum of each sample")
    raw: list[_Raw] = []
    unit = stated
    for table in tables:
        columns = _find_columns(table, shown)
        unit = _agree(unit, _said_unit(table, columns), shown, table.columns_line)
        conditions, wrong = read_conditions(table.keywords)
        if wrong:
            mend = "Correct the head, so that each is said once"
            raise ExchangeError(*(Fault(shown, "", None, one, mend) for one in wrong))
        raw += _read_rows(table, columns, conditions, shown)
    if not raw:
        refuse(shown, "it holds no samples", "Export the samples that were measured")
    if not text.lstrip().upper().startswith(("CGATS", "ISO28178", "IT8", "CTI")):
        notes += ("its first line does not say which standard it follows; read as CGATS",)
    keywords = dict(pair for table in tables for pair in table.keywords)
    readings, more = _finish(raw, unit, shown)
    return ColourFile(shown, "cgats", readings, tuple(keywords.items()), notes + more)


def _has_colour(columns: Sequence[str]) -> bool:
    names = {name.upper() for name in columns}
    paired = bool(names & set(_PAIRED)) and "SPECTRAL_NM" in names
    return paired or bool(names & set(_LAB[0])) or any(_wave_of(name) for name in columns)


def _find_columns(table: Table, shown: str) -> _Columns:
    names = [name.upper() for name in table.columns]
    wrong = [
        f"the column {name} stands {count} times"
        for name, count in Counter(names).items()
        if count > 1 and name != "SPECTRAL_NM" and name not in _PAIRED
    ]
    lab = [_place(names, spellings) for spellings in _LAB]
    if any(place is not None for place in lab) and None in lab:
        wrong.append("only part of LAB_L, LAB_A, LAB_B is there")
    waves = {place: wave for place, name in enumerate(names) if (wave := _wave_of(name))}
    order = sorted(waves, key=lambda place: waves[place])
    paired = [place for place, name in enumerate(names) if name in _PAIRED]
    wave_places = [place for place, name in enumerate(names) if name == "SPECTRAL_NM"]
    if waves and (problem := check_wavelengths([waves[place] for place in order])):
        wrong.append(problem)
    if len(paired) != len(wave_places) or (paired and waves):
        wrong.append("its spectral columns do not pair wavelengths with reflectances")
    if wrong:
        mend = "Correct the columns' names, or export the file again"
        raise ExchangeError(*(Fault(shown, "", table.columns_line, w, mend) for w in wrong))
    units = {_unit_of(names[place]) for place in [*order, *paired]} - {None}
    if len(units) > 1:
        refuse(shown, "columns in percent and in unit are mixed", "Export it again", line=None)
    return _Columns(
        _place(names, _NAMES),
        _place(names, _IDS),
        tuple(place for place in lab if place is not None),
        tuple(waves[place] for place in order),
        tuple(order or paired),
        tuple(wave_places),
        next(iter(units), None),
    )


def _place(names: Sequence[str], spellings: Sequence[str]) -> int | None:
    return next((names.index(name) for name in spellings if name in names), None)


def _wave_of(name: str) -> float | None:
    found = _WAVE.fullmatch(name)
    wave = float(found[1].replace(",", ".")) if found else 0.0
    return wave if 300.0 <= wave <= 1100.0 else None


def _unit_of(name: str) -> Unit | None:
    if name in _PAIRED:
        return _PAIRED[name]
    return Unit.PERCENT if "PCT" in name else Unit.UNIT if "DEC" in name else None


def _said_unit(table: Table, columns: _Columns) -> Unit | None:
    """The unit by columns' names or by the head's norm; names win nothing over the head."""
    norm = {key.upper(): value for key, value in table.keywords}.get("SPECTRAL_NORM", "")
    numbers = parse_numbers([norm.strip()]) if norm else []
    said = {columns.unit} - {None}
    if isinstance(numbers, list) and numbers:
        said |= {Unit.PERCENT} if numbers[0] == 100 else {Unit.UNIT} if numbers[0] == 1 else set()
    return next(iter(said)) if len(said) == 1 else None


def _agree(one: Unit | None, other: Unit | None, shown: str, line: int) -> Unit | None:
    if one is not None and other is not None and one is not other:
        found = f"reflectances are said to be both {one} and {other}"
        refuse(shown, found, "Leave out what does not hold", line=line)
    return one or other


def _read_rows(table: Table, columns: _Columns, conditions: Conditions, shown: str) -> list[_Raw]:
    places = [*columns.lab, *columns.wave_places, *columns.spectral]
    tokens = [row.values[place] for row in table.rows for place in places]
    numbers = parse_numbers(tokens)
    if isinstance(numbers, str):
        faults = [
            Fault(shown, "", row.line, problem, "Write every value as a number")
            for row in table.rows
            if isinstance(problem := parse_numbers([row.values[p] for p in places]), str)
        ]
        mend = "Write all decimals with a point, or all with a comma"
        raise ExchangeError(*(faults or [Fault(shown, "", None, numbers, mend)]))
    width = len(places)
    return [
        _raw(row, columns, numbers[at * width : (at + 1) * width], conditions, shown)
        for at, row in enumerate(table.rows)
    ]


def _raw(
    row: Row, columns: _Columns, numbers: Sequence[Decimal], conditions: Conditions, shown: str
) -> _Raw:
    labs, own = len(columns.lab), len(columns.wave_places)
    waves = columns.waves or tuple(float(value) for value in numbers[labs : labs + own])
    if own and (problem := check_wavelengths(waves)):
        refuse(shown, problem, "Export the file again", line=row.line)
    id_ = row.values[columns.id] if columns.id is not None else ""
    name = row.values[columns.name] if columns.name is not None else id_
    lab = tuple(numbers[:labs])
    if lab and (problem := check_lab([float(value) for value in lab])):
        refuse(shown, problem, "Export Lab as CIE defines it, L* 0 to 100", line=row.line)
    spectral = tuple(numbers[labs + own :])
    return _Raw(name or id_, id_ or name, lab, waves, spectral, conditions, row.line)


def _finish(
    raw: Sequence[_Raw], unit: Unit | None, shown: str
) -> tuple[tuple[Reading, ...], tuple[str, ...]]:
    """Readings with reflectance factors, and a note of how the unit was found."""
    with_spectra = [one for one in raw if one.spectral]
    notes: tuple[str, ...] = ()
    if with_spectra:
        lengths = {len(one.spectral) for one in with_spectra}
        if len(lengths) > 1:
            refuse(shown, "its spectra are of several lengths", "Export each kind on its own")
        found = decide_unit([one.spectral for one in with_spectra], unit)
        if found is None:
            found = settle_by_lab(
                [(one.waves, one.spectral, one.lab) for one in with_spectra if one.lab]
            )
            if found is None:
                open_ = "its reflectances could be percent or unit"
                refuse(shown, open_, "Say which (--reflectance percent, or unit)")
        if not isinstance(found, Unit):
            refuse(shown, found, "Export the spectra again, or say what they are")
        if unit is None:
            notes = (f"its reflectances are in {found}, as their size shows",)
        unit = found
    readings = tuple(
        Reading(
            one.name,
            one.id,
            lab_colour(one.lab) if one.lab else None,
            _spectrum(one, unit),
            one.conditions,
            one.line,
        )
        for one in raw
    )
    return readings, notes


def _spectrum(one: _Raw, unit: Unit | None) -> Spectrum | None:
    if not one.spectral or unit is None:
        return None
    return Spectrum(np.array(one.waves), as_factor(one.spectral, unit))
