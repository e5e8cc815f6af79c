"""``season.toml`` becomes a Scheme, or everything wrong with it at once."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from pathlib import Path

from pydantic import ValidationError

from livery.colour import read_press_profile
from livery.errors import ColourError, Fault, SeasonError
from livery.scheme.alignments import check_alignments
from livery.scheme.assembly import assemble
from livery.scheme.consistency import check_consistency, is_path
from livery.scheme.faults import MOST_EXPLAINED, list_faults, tell_once
from livery.scheme.locator import KeyPath
from livery.scheme.model import Palette, Scheme
from livery.scheme.palettes import read_palette
from livery.scheme.reading import Document, read_bytes, read_document
from livery.scheme.references import check_references, rows
from livery.scheme.season_tables import SeasonTable


def load_season(path: Path | str) -> Scheme:
    """Read a season and everything it names, but the artwork's insides.

    Args:
        path: the season's TOML file.

    Returns:
        The season, consistent: every reference holds and every size has coherent dimensions.

    Raises:
        SeasonError: with every fault of the season and its palette, by file and line.
    """
    document = read_document(Path(path))
    faults: list[Fault] = []
    table = _validate(document, faults)
    palette, palette_digest = _load_palette(document, faults)
    drawn = _find_drawings(document, faults)
    icc, press = _load_press(document, faults)
    inks = None if palette is None else palette.keys
    faults.extend(islice(check_references(document, inks), MOST_EXPLAINED))
    faults.extend(islice(check_alignments(document), MOST_EXPLAINED))
    if table is not None:
        faults.extend(islice(check_consistency(document, table, palette), MOST_EXPLAINED))
    if faults or table is None or palette is None:
        raise SeasonError(*_in_order(document, faults))
    books = _digest_books(document, table)
    digests = ((document.path.name, document.digest), palette_digest, *drawn, *books, *press)
    return replace(assemble(document, table, palette, icc), digests=digests)


def _validate(document: Document, faults: list[Fault]) -> SeasonTable | None:
    try:
        return SeasonTable.model_validate(document.data)
    except ValidationError as error:
        faults.extend(list_faults(document, SeasonTable, error))
        return None


def _load_palette(
    document: Document, faults: list[Fault]
) -> tuple[Palette | None, tuple[str, str]]:
    """The palette a season names, and its digest."""
    named = document.data.get("palette")
    if not isinstance(named, str) or not named.strip() or not named.isprintable():
        return None, ("", "")  # its own table says what is wrong with it
    path = document.path.parent / named
    try:
        palette_document = read_document(path)
    except SeasonError as error:
        faults.extend(_at_palette_key(document, fault) for fault in error.faults)
        return None, ("", "")
    palette, found = read_palette(palette_document)
    faults.extend(found)
    return palette, (named, palette_document.digest)


def _load_press(
    document: Document, faults: list[Fault]
) -> tuple[bytes, tuple[tuple[str, str], ...]]:
    """The printer's own press profile, where a season names one, and its digest."""
    table = document.data.get("print")
    named = table.get("output_profile") if isinstance(table, dict) else None
    if not isinstance(named, str) or not named.strip() or not named.isprintable():
        return b"", ()  # its own table says what is wrong with it
    path = document.path.parent / named
    try:
        icc = read_bytes(path, str(path))
        read_press_profile(named, icc)
    except (SeasonError, ColourError) as error:
        found = error.faults[0].found if isinstance(error, SeasonError) else str(error).rstrip(".")
        mend = "Name the printer's ICC profile for four process inks, relative to the season"
        faults.append(document.fault(("print", "output_profile"), f"{path}: {found}", mend))
        return b"", ()
    return icc, ((named, hashlib.sha256(icc).hexdigest()),)


def _at_palette_key(document: Document, fault: Fault) -> Fault:
    """A file that cannot be read is the fault of the key that names it; bad TOML is the file's."""
    if fault.line is not None:
        return fault
    return document.fault(("palette",), f"{fault.file}: {fault.found}", fault.mend)


def _drawings(document: Document) -> Iterator[tuple[KeyPath, object]]:
    """Every key that names an SVG file, with what it says: artwork and bats' outlines."""
    for path, row in rows(document.data, "decals"):
        yield (*path, "artwork"), row.get("artwork")
    for path, row in rows(document.data, "bats"):
        outlines = row.get("outlines")
        for size, named in outlines.items() if isinstance(outlines, dict) else ():
            yield (*path, "outlines", size), named


def _find_drawings(document: Document, faults: list[Fault]) -> list[tuple[str, str]]:
    """Check that every SVG file exists; return each name once with its digest."""
    digests: dict[str, str] = {}
    for place, named in _drawings(document):
        if not isinstance(named, str) or not named.strip() or not named.isprintable():
            continue  # its own table says what is wrong with it
        if named in digests:
            continue
        try:
            digests[named] = _digest(document.path.parent / named)
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            found = f"{document.path.parent / named}: {reason}"
            mend = "Name an SVG file, relative to the season's folder"
            mend += "; write its path with /" if "\\" in named else ""
            faults.append(document.fault(place, found, mend))
    return sorted(digests.items())


def _digest_books(document: Document, table: SeasonTable) -> list[tuple[str, str]]:
    """The user's own rule books, found to be files already.

    Raises:
        SeasonError: one cannot be read.
    """
    digests: dict[str, str] = {}
    for index, named in enumerate(table.rules):
        if is_path(named):
            try:
                digests[named] = _digest(document.path.parent / named)
            except OSError as error:
                found = f"{document.path.parent / named}: {error.strerror}"
                mend = "Name a rule book's TOML file that can be read"
                raise SeasonError(document.fault(("rules", index), found, mend)) from error
    return sorted(digests.items())


def _digest(path: Path) -> str:
    if path.exists() and not path.is_file():
        raise ValueError("this is not a plain file")
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _in_order(document: Document, faults: list[Fault]) -> list[Fault]:
    """The season's faults first, each file's by line; the same fault once."""
    unique = tell_once(dict.fromkeys(faults))
    return sorted(
        unique, key=lambda fault: (fault.file != document.shown, fault.file, fault.line or 0)
    )
