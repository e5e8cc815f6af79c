"""A palette file becomes a Palette."""

from __future__ import annotations

from collections import Counter

import numpy as np
from pydantic import ValidationError

from livery.colour import ciede2000
from livery.colour.notation import NOTATIONS, colour_from_words
from livery.colour.spectra import spectrum_to_lab
from livery.drawing import LabColour, lab_colour
from livery.errors import ColourError, Fault
from livery.scheme.faults import list_faults
from livery.scheme.model import Ink, Palette, Spectrum
from livery.scheme.palette_tables import InkTable, PaletteTable, SpectraTable
from livery.scheme.reading import Document

DEFAULT_TOLERANCE_DE00 = 2.0
"""Where nothing else is said. Source: spot-tolerance (read)."""

AGREES_DE00 = 0.5
"""How far an ink's spectrum may be from its aim under D50. Source: workshop-choice."""

AIMS = "L* lies in 0 to 100, a* and b* in -128 to 127, in that order"
"""What PDF's Lab spaces and ICC's connection space both hold. Source: iso-32000-1, icc-1."""

RESERVED_PLATES = frozenset({"all", "none", "cyan", "magenta", "yellow", "black"})
"""Plate names with a meaning of their own in PDF. Source: iso-32000-1, 8.6.6.4."""


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
                faults.append(
                    document.fault(place, found, f"Choose another name, such as '{value} ink'")
                )
    return faults


def _read_ink(
    document: Document, index: int, table: PaletteTable, faults: list[Fault]
) -> Ink | None:
    row = table.inks[index]
    lab = _read_aim(document, ("inks", index), row, faults)
    place = ("inks", index, "spectrum")
    spectrum = _read_spectrum(document, place, row, table.spectra, faults)
    if lab is None:
        return None
    if spectrum is not None and (problem := _check_agreement(lab, spectrum)):
        faults.append(document.fault(place, *problem))
    tolerance = row.tolerance or table.tolerance or DEFAULT_TOLERANCE_DE00
    return Ink(row.key, row.name, lab, row.finish, tolerance, spectrum, row.prints)


def check_aim(lab: LabColour) -> str:
    """What is wrong with a colour to be printed; "" if a PDF can state it: ``AIMS``."""
    if 0.0 <= lab[0] <= 100.0 and all(-128.0 <= value <= 127.0 for value in lab[1:]):
        return ""
    return f"Lab {tuple(round(value, 2) for value in lab)} is no colour of a print"


def _read_aim(
    document: Document, place: tuple[str | int, ...], row: InkTable, faults: list[Fault]
) -> LabColour | None:
    """The aim in Lab, D50; exactly one notation gives it."""
    given = [name for name in NOTATIONS if getattr(row, name) is not None]
    if len(given) != 1:
        found = f"the aim is given as {' and '.join(given)}" if given else "the ink has no aim"
        mend = "Give one of lab = [L, a, b], " + ", ".join(NOTATIONS[1:])
        faults.append(document.fault(place, found, mend))
        return None
    notation = given[0]
    values: list[float] = getattr(row, notation)
    if notation == "srgb" and row.white == "D50":
        found = "sRGB is always under D65"
        faults.append(document.fault((*place, "white"), found, "Remove white, or write D65"))
        return None
    try:
        lab = _convert(notation, values, row.white)
    except ColourError as error:
        mend = "Give the numbers on the notation's own scale"
        faults.append(document.fault((*place, notation), str(error).rstrip("."), mend))
        return None
    if problem := check_aim(lab):
        faults.append(document.fault((*place, notation), problem, AIMS))
        return None
    return lab


def _convert(notation: str, values: list[float], white: str | None) -> LabColour:
    if notation == "lab" and white != "D65":
        return lab_colour(values)
    return lab_colour(colour_from_words(notation, values, (white or "D50").lower()))


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
    return Spectrum(wavelengths, np.asarray(row.spectrum, dtype=np.float64))


def _check_agreement(lab: LabColour, spectrum: Spectrum) -> tuple[str, str] | None:
    """What is wrong between an aim and its spectrum: (found, mend), or None."""
    try:
        seen = spectrum_to_lab(spectrum.wavelengths_nm, spectrum.reflectance, "D50")
    except ColourError as error:
        return str(error).rstrip("."), "Correct [spectra], or the spectrum"
    difference = float(ciede2000(np.asarray(lab), seen))
    if difference <= AGREES_DE00:
        return None
    seen_text = ", ".join(f"{value:.2f}" for value in seen)
    return (
        f"under D50 the spectrum is Lab ({seen_text}), {difference:.2f} CIEDE2000 from the aim",
        f"Correct either one; they must agree within {AGREES_DE00:g}",
    )
