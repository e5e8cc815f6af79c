"""A palette file becomes a Palette."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import ValidationError

from livery.drawing import LabColour
from livery.errors import Fault, SeasonError
from livery.scheme.faults import list_faults
from livery.scheme.model import Finish, Ink, Palette, Spectrum
from livery.scheme.palette_tables import InkTable, PaletteTable, SpectraTable
from livery.scheme.reading import Document, read_document

DEFAULT_TOLERANCE_DE00 = 2.0
"""Where nothing else is said. Source: spot-tolerance (read)."""

RESERVED_PLATES = frozenset({"all", "none", "cyan", "magenta", "yellow", "black"})
"""Plate names with a meaning of their own in PDF. Source: iso-32000-1, 8.6.6.4."""


def load_palette(path: Path | str) -> Palette:
    """Read a palette.

    Args:
        path: a TOML file.

    Raises:
        SeasonError: with every fault found.
    """
    palette, faults = read_palette(read_document(Path(path)))
    if palette is None:
        raise SeasonError(*faults)
    return palette


def read_palette(document: Document) -> tuple[Palette | None, list[Fault]]:
    """Turn a document into a palette, or into everything wrong with it."""
    faults: list[Fault] = []
    table: PaletteTable | None = None
    try:
        table = PaletteTable.model_validate(document.data)
    except ValidationError as error:
        faults.extend(list_faults(document, PaletteTable, error))
    faults.extend(_check_names(document))
    if table is None:
        return None, faults
    inks = [_read_ink(document, index, table, faults) for index in range(len(table.inks))]
    if faults:
        return None, faults
    key = table.key or document.path.stem
    return Palette(key, table.name, tuple(ink for ink in inks if ink), table.source), []


def _check_names(document: Document) -> list[Fault]:
    """Keys and plate names must be one ink's alone."""
    raw = document.data.get("inks")
    inks = raw if isinstance(raw, list) else []
    faults = []
    for name, fold in (("key", str), ("name", str.casefold)):
        seen: Counter[str] = Counter()
        for index, ink in enumerate(inks):
            value = ink.get(name) if isinstance(ink, dict) else None
            if not isinstance(value, str):
                continue
            seen[fold(value)] += 1
            place = ("inks", index, name)
            if seen[fold(value)] == 2:
                mend = f"Give each ink a {name} of its own"
                faults.append(document.fault(place, f"{value!r} is already taken", mend))
            if name == "name" and value.casefold() in RESERVED_PLATES:
                found = f"a plate named {value!r} means a process ink, or every plate"
                faults.append(document.fault(place, found, "Choose another name"))
    return faults


def _read_ink(
    document: Document, index: int, table: PaletteTable, faults: list[Fault]
) -> Ink | None:
    row = table.inks[index]
    lab = _read_aim(document, ("inks", index), row, faults)
    spectrum = _read_spectrum(document, ("inks", index, "spectrum"), row, table.spectra, faults)
    if lab is None:
        return None
    tolerance = row.tolerance or table.tolerance or DEFAULT_TOLERANCE_DE00
    return Ink(row.key, row.name, lab, Finish(row.finish), tolerance, spectrum)


def _read_aim(
    document: Document, place: tuple[str | int, ...], row: InkTable, faults: list[Fault]
) -> LabColour | None:
    if row.lab is None:
        found = "the ink has no aim"
        faults.append(document.fault(place, found, "Add lab = [L, a, b], D50, 2°, M1"))
        return None
    lightness, a, b = row.lab
    if not (0 <= lightness <= 100 and -128 <= a <= 127 and -128 <= b <= 127):
        found = f"Lab {row.lab} is outside L* 0 to 100, a* and b* -128 to 127"
        faults.append(document.fault((*place, "lab"), found, "Write L*, a*, b* in that order"))
        return None
    return (lightness, a, b)


def _read_spectrum(
    document: Document,
    place: tuple[str | int, ...],
    row: InkTable,
    grid: SpectraTable,
    faults: list[Fault],
) -> Spectrum | None:
    if row.spectrum is None:
        return None
    count = round((grid.last_nm - grid.first_nm) / grid.step_nm) + 1
    if len(row.spectrum) != count:
        found = f"the spectrum has {len(row.spectrum)} values"
        mend = (
            f"{grid.first_nm:g} to {grid.last_nm:g} nm every {grid.step_nm:g} nm needs {count}; "
            "or correct [spectra]"
        )
        faults.append(document.fault(place, found, mend))
        return None
    wavelengths = grid.first_nm + grid.step_nm * np.arange(count, dtype=np.float64)
    values: Any = np.asarray(row.spectrum, dtype=np.float64)
    return Spectrum(wavelengths, values)
