"""Rule books from TOML: packaged ones by name, a user's own by path; every fault at once."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, ValidationError

from livery.errors import Fault, SeasonError
from livery.limits.checks_item import DIMENSIONS
from livery.limits.model import Rule, RuleBook, Severity
from livery.limits.registry import CHECKS, Check, CheckSpec, Kind
from livery.scheme.faults import list_faults, suggest
from livery.scheme.fields import Key, Name, Table, Word, quote
from livery.scheme.model import SURFACES, Role
from livery.scheme.reading import Document, read_document
from livery.units import MM_PER_INCH, parse_length_mm

PACKAGED = Path(__file__).parent.parent / "data" / "rules"
DATUMS = ("grip-bottom", "shoulder", "middle", "toe")
"""Datums a rule may measure from; a surface that lacks one is not governed by the rule."""

UNFILLED = "to be filled"
"""What a shape of a book holds in place of what only its user can say."""

_ALL_SURFACES = [surface for surfaces in SURFACES.values() for surface in surfaces]
_AREA = re.compile(r"\s*+(\d+(?:\.\d*)?|\.\d+)\s*+(mm²|mm2|cm²|cm2|sq in|in²|in2)?\s*+", re.ASCII)
_MM2_PER_UNIT = {"mm": 1.0, "cm": 100.0, "sq in": MM_PER_INCH**2, "in": MM_PER_INCH**2}


class _RuleTable(Table):
    key: Key
    title: Name
    check: Name
    parameters: dict[str, Any] = Field(default_factory=dict)
    surfaces: list[Name] = Field(default_factory=list)
    roles: list[Name] = Field(default_factory=list)
    severity: Annotated[Severity, Word] = Severity.LIMIT
    source: Name
    clause: str = ""
    standing: Name
    reading: str = ""


class _BookTable(Table):
    title: Name
    note: str = ""
    rules: list[_RuleTable] = Field(min_length=1)


def packaged_books() -> tuple[str, ...]:
    """Names of the books that come with livery."""
    return tuple(sorted(path.stem for path in PACKAGED.glob("*.toml")))


@cache
def digest_of_packaged(name: str) -> str:
    """SHA-256 of a packaged book, or nothing where there is no such book."""
    path = PACKAGED / f"{name}.toml"
    return hashlib.sha256(path.read_bytes()).hexdigest() if name in packaged_books() else ""


def load_books(names: Sequence[str], folder: Path, named_in: str = "") -> tuple[RuleBook, ...]:
    """Read rule books.

    Args:
        names: a packaged book's name, or the path of a TOML file; each with its own key.
        folder: what relative paths start from, usually the season's folder.
        named_in: the file that names the books, for messages.

    Raises:
        SeasonError: every fault of every book, with file, place, line and mend.
    """
    books: list[RuleBook] = []
    faults: list[Fault] = []
    for name in names:
        try:
            books.append(read_book(find_book(name, folder, named_in)))
        except SeasonError as error:
            faults += error.faults
    keys = [book.key for book in books]
    for key in sorted(key for key, count in Counter(keys).items() if count > 1):
        found = f"two rule books are called {key!r}"
        faults.append(Fault(named_in or key, "rules", None, found, "Name each book once"))
    if faults:
        raise SeasonError(*faults)
    return tuple(books)


def find_book(name: str, folder: Path, named_in: str = "") -> Path:
    """The file that a book's name or path stands for.

    Raises:
        SeasonError: neither a packaged book nor a path that ends in .toml.
    """
    if name in packaged_books():
        return PACKAGED / f"{name}.toml"
    if not name.endswith(".toml"):
        near = suggest(name, packaged_books(), "packaged books").rstrip(".")
        mend = f"{near} Or give the path of a .toml" if near[-1] == "?" else f"{near}; or a .toml"
        found = f"there is no rule book {name!r}"
        raise SeasonError(Fault(named_in or name, "rules", None, found, mend))
    return folder / name


def read_book(path: Path) -> RuleBook:
    """Read one rule book; its key is the file's name without suffix.

    Raises:
        SeasonError: every fault of the book.
    """
    document = read_document(path)
    try:
        table = _BookTable.model_validate(document.data)
    except ValidationError as error:
        raise SeasonError(*list_faults(document, _BookTable, error)) from error
    faults: list[Fault] = []
    rules = tuple(_read_rule(document, i, rule, faults) for i, rule in enumerate(table.rules))
    taken: set[str] = set()
    for index, key in enumerate(rule.key for rule in rules):
        if key in taken:
            place = ("rules", index, "key")
            faults.append(document.fault(place, f"{key!r} is used twice", "Give another key"))
        taken.add(key)
    if faults:
        raise SeasonError(*faults)
    return RuleBook(path.stem, table.title, rules, table.note)


def _read_rule(document: Document, index: int, table: _RuleTable, faults: list[Fault]) -> Rule:
    at = ("rules", index)
    for field, values, known in (
        ("check", [table.check], [str(check) for check in Check]),
        ("surfaces", table.surfaces, _ALL_SURFACES),
        ("roles", table.roles, [str(role) for role in Role]),
    ):
        for value in values:
            if value not in known:
                found = f"unknown {field.removesuffix('s')} {value!r}"
                faults.append(document.fault((*at, field), found, suggest(value, known, field)))
    if table.check == Check.SURFACES_ALLOWED and not table.surfaces:
        found = f"check {table.check!r} names no surfaces"
        faults.append(document.fault(at, found, 'Add the allowed ones: surfaces = ["face"]'))
    spec = CHECKS[Check(table.check)] if table.check in list(Check) else None
    parameters = _read_parameters(document, at, table, spec, faults) if spec else {}
    return Rule(
        key=table.key,
        title=table.title,
        check=table.check,
        parameters=parameters,
        surfaces=tuple(table.surfaces),
        roles=tuple(table.roles),
        severity=table.severity,
        source=table.source,
        clause="" if table.clause == UNFILLED else table.clause,
        standing="entered by the user" if table.standing == UNFILLED else table.standing,
        reading=table.reading,
    )


def _read_parameters(
    document: Document,
    at: tuple[str | int, ...],
    table: _RuleTable,
    spec: CheckSpec,
    faults: list[Fault],
) -> Mapping[str, float | str]:
    kinds = {**spec.needs, **spec.may}
    for name in spec.needs:
        if name not in table.parameters:
            found = f"check {table.check!r} needs {name!r} ({kinds[name]})"
            faults.append(document.fault(at, found, f"Add it to [rules.parameters]: {name} = ..."))
    read: dict[str, float | str] = {}
    for name, value in table.parameters.items():
        place = (*at, "parameters", name)
        if name not in kinds:
            found = f"check {table.check!r} has no parameter {name!r}"
            faults.append(document.fault(place, found, suggest(name, kinds, "parameters")))
            continue
        if value == UNFILLED:
            found = f"{name!r} of {table.title!r} is to be filled"
            faults.append(document.fault(place, found, _mend_unfilled(document, kinds[name])))
            continue
        try:
            read[name] = _read_value(kinds[name], value)
        except ValueError as error:
            faults.append(document.fault(place, str(error), _MEND[kinds[name]]))
    return read


def _mend_unfilled(document: Document, kind: Kind) -> str:
    if document.path.parent == PACKAGED:
        return (
            f"This book is a shape without figures: copy {document.path.name} beside the season, "
            "fill the copy from the competition's own regulations, and name the copy under rules"
        )
    return f"Fill it from the competition's own regulations, or remove the rule. {_MEND[kind]}"


_MEND = {
    Kind.LENGTH: 'Write mm as a number, or a text with its unit: "9 in", 0 or more',
    Kind.AREA: 'Write mm² as a number, or a text: "50 cm²", "8 sq in"',
    Kind.SHARE: "Write a share above 0, at most 1: 0.5",
    Kind.COUNT: "Write a whole number, 0 or more",
    Kind.DATUM: f"Datums: {', '.join(DATUMS)}",
    Kind.DIMENSION: f"Dimensions: {', '.join(DIMENSIONS)}",
    Kind.PER_DECAL: "Write decal, surface or item",
    Kind.WORDS: "Write words in quotes",
}


def _read_value(kind: Kind, value: object) -> float | str:
    """One parameter's value.

    Raises:
        ValueError: it is not of its kind; the text quotes it.
    """
    match kind:
        case Kind.LENGTH:
            return _at_least_0(parse_length_mm(value), value)
        case Kind.AREA:
            return _read_area(value)
        case Kind.SHARE if _is_number(value) and 0 < float(str(value)) <= 1:
            return float(str(value))
        case Kind.COUNT if isinstance(value, int) and _is_number(value) and value >= 0:
            return float(value)
        case Kind.DATUM if value in DATUMS:
            return str(value)
        case Kind.DIMENSION if value in DIMENSIONS:
            return str(value)
        case Kind.PER_DECAL if value in ("decal", "surface", "item"):
            return str(value)
        case Kind.WORDS if isinstance(value, str):
            return value
    raise ValueError(f"{quote(value)} is no {kind}")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _at_least_0(number: float, value: object) -> float:
    if number < 0:
        raise ValueError(f"{quote(value)} is below 0")
    return number


def _read_area(value: object) -> float:
    if isinstance(value, int | float) and _is_number(value):
        area = float(min(value, 1e9))
    elif isinstance(value, str) and (match := _AREA.fullmatch(value)):
        number, unit = match.groups()
        area = float(number) * _MM2_PER_UNIT[(unit or "mm").rstrip("²2")]
    else:
        raise ValueError(f"{quote(value)} is no area")
    if not 0 <= area < 1e9:
        raise ValueError(f"{quote(value)} is no usable area")
    return area
