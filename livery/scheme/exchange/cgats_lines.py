"""The lines of a CGATS text: keywords, the names of columns, and rows, with their line numbers."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.errors import ExchangeError, Fault
from livery.scheme.exchange.decoding import refuse

_TOKEN = re.compile(r'"((?:[^"]|"")*)"|([^\s"]\S*)')
_MARKER = re.compile(r"^(BEGIN|END)_(DATA_FORMAT|DATA)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Row:
    """One line's values."""

    line: int
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """One table: what its head adds, its columns and rows."""

    keywords: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    columns_line: int
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class _Section:
    name: str
    line: int
    lines: tuple[tuple[int, str], ...]


def read_tables(text: str, shown: str) -> tuple[Table, ...]:
    """Split a text into its tables; later tables keep earlier keywords they do not repeat.

    Raises:
        ExchangeError: a section that is not closed, rows that do not fit their columns.

    Source:
        [source: iso-28178]
    """
    tables: list[Table] = []
    keywords: dict[str, str] = {}
    columns: tuple[str, ...] = ()
    columns_line = 0
    separator = ""
    for section in _sections(text, shown):
        if section.name == "HEAD":
            keywords |= _keywords(section.lines)
        elif section.name == "DATA_FORMAT":
            separator = _separator(section.lines)
            split = [value for _, line in section.lines for value in _split(line, separator)]
            columns, columns_line = tuple(value for value in split if value), section.line
            _check_count(keywords, "NUMBER_OF_FIELDS", len(columns), shown, section.line)
        else:
            if not columns:
                mend = "Name the columns between BEGIN_DATA_FORMAT and END_DATA_FORMAT"
                refuse(shown, "data without the names of its columns", mend, line=section.line)
            rows = _rows(section, columns, separator, keywords, shown)
            _check_count(keywords, "NUMBER_OF_SETS", len(rows), shown, section.line)
            tables.append(Table(tuple(keywords.items()), columns, columns_line, rows))
    return tuple(tables)


def _sections(text: str, shown: str) -> Iterator[_Section]:
    """Heads and sections in order; a section ends with its own END line and nothing else."""
    name, start, lines = "HEAD", 1, []
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), start=1):
        bare = _without_comment(line).strip(" \t;,\f\x1a")
        marker = _MARKER.match(bare)
        if marker is None:
            if re.match(r"(BEGIN|END)_", bare, re.IGNORECASE):
                mend = "Only BEGIN_DATA_FORMAT, BEGIN_DATA and their ENDs mark sections"
                refuse(shown, f"{bare[:40]!r} marks no section", mend, line=number)
            if bare:
                lines.append((number, _without_comment(line)))
            continue
        kind, named = marker[1].upper(), marker[2].upper()
        if (kind == "BEGIN") != (name == "HEAD") or (kind == "END" and named != name):
            found = f"{bare} stands where no {kind.lower()} of a section may"
            refuse(shown, found, "Close each section before the next begins", line=number)
        yield _Section(name, start, tuple(lines))
        name, start, lines = (named if kind == "BEGIN" else "HEAD"), number, []
    if name != "HEAD":
        refuse(shown, f"BEGIN_{name} is not closed", "The file is cut short: export it again")
    yield _Section(name, start, tuple(lines))


def _without_comment(line: str) -> str:
    """A line up to a number sign that stands outside quotes and begins a word."""
    if "#" not in line:
        return line
    quoted = False
    for at, letter in enumerate(line):
        if letter == '"':
            quoted = not quoted
        elif letter == "#" and not quoted and (at == 0 or line[at - 1].isspace()):
            return line[:at]
    return line


def _keywords(lines: Sequence[tuple[int, str]]) -> dict[str, str]:
    """Keywords and values; ``KEYWORD "NAME"`` only announces one."""
    found: dict[str, str] = {}
    for _, line in lines:
        tokens = _split(line.strip().rstrip(";"), "")
        if len(tokens) > 1 and tokens[0].upper() != "KEYWORD":
            key, value = tokens[0].rstrip(":="), " ".join(tokens[1:])
            # Repeated keywords (two weighting functions, many notes) keep all they say.
            found[key] = f"{found[key]}; {value}" if key in found else value
    return found


def _separator(lines: Sequence[tuple[int, str]]) -> str:
    """What stands between columns: a semicolon, a comma, or white space ("")."""
    text = " ".join(line for _, line in lines)
    return next((mark for mark in ";," if mark in text), "")


def _split(line: str, separator: str) -> list[str]:
    """The values of a line, without quotes."""
    if separator:
        bare = line.strip().rstrip(separator)
        try:
            (values,) = csv.reader([bare], delimiter=separator, skipinitialspace=True)
        except csv.Error:  # a value longer than any name or number
            return [bare]
        return [value.strip() for value in values]
    return [
        match[2] if match[1] is None else match[1].replace('""', '"')
        for match in _TOKEN.finditer(line)
    ]


def _unquote(value: str) -> str:
    return value[1:-1] if len(value) > 1 and value[0] == value[-1] == '"' else value


def _rows(
    section: _Section,
    columns: Sequence[str],
    separator: str,
    keywords: dict[str, str],
    shown: str,
) -> tuple[Row, ...]:
    rows = [Row(number, _row(line, len(columns), separator)) for number, line in section.lines]
    wrong = next((row for row in rows if len(row.values) != len(columns)), None)
    if wrong is None:
        return tuple(rows)
    every = [(row.line, value) for row in rows for value in row.values]
    sets = keywords.get("NUMBER_OF_SETS", "")
    wrapped = sets.isdecimal() and len(sets) < 10  # rows may be wrapped over lines
    if wrapped and len(every) == int(sets) * len(columns):
        chunks = [every[at : at + len(columns)] for at in range(0, len(every), len(columns))]
        return tuple(Row(chunk[0][0], tuple(value for _, value in chunk)) for chunk in chunks)
    raise ExchangeError(
        Fault(
            shown,
            "",
            wrong.line,
            f"{len(wrong.values)} values for {len(columns)} columns",
            "Give every column a value; put names with blanks in quotation marks",
        )
    )


def _row(line: str, columns: int, separator: str) -> tuple[str, ...]:
    """A line's values; tabs part names with blanks where that gives one value a column."""
    values = _split(line, separator)
    if len(values) != columns and not separator and "\t" in line:
        parted = [_unquote(value.strip()) for value in line.strip("\r\n").split("\t")]
        while parted and not parted[-1]:
            parted.pop()
        if len(parted) == columns:
            return tuple(parted)
    return tuple(values)


def _check_count(keywords: dict[str, str], keyword: str, count: int, shown: str, line: int) -> None:
    """Numbers of fields and sets, where given, must be what is there."""
    said = keywords.pop(keyword, None)
    if said is None:
        return
    if not said.isdecimal() or len(said) > 9 or int(said) != count:
        found = f"{keyword} says {said[:20]!r}; there are {count}"
        refuse(shown, found, "Part of the file is missing or added: export it again", line=line)
