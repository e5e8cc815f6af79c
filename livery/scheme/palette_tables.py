"""The shape of a palette file."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from livery.scheme.fields import (
    BRIGHTEST,
    DARKEST,
    Difference,
    Key,
    Name,
    Table,
    Word,
    quote,
    refusal,
)
from livery.scheme.model import Finish, Prints


def _read_hex(value: Any) -> Any:
    """``#rrggbb`` as three numbers 0..1; a list is left as it is."""
    if not isinstance(value, str):
        return value
    if not re.fullmatch(r"#[0-9A-Fa-f]{6}", value, re.ASCII):
        mend = 'Write "#2a4d7f", or three numbers from 0 to 1'
        raise refusal(f"{quote(value)} is not an sRGB colour", mend)
    return [int(value[at : at + 2], 16) / 255 for at in (1, 3, 5)]


Triple = Annotated[list[float], Field(min_length=3, max_length=3)]
Reflectance = Annotated[float, Field(gt=DARKEST, lt=BRIGHTEST)]
Nanometres = Annotated[float, Field(gt=0, le=2500)]


class SpectraTable(Table):
    """The wavelengths that every ink's spectrum is given at."""

    first_nm: Nanometres = 380.0
    last_nm: Nanometres = 730.0
    step_nm: Nanometres = 10.0


class InkTable(Table):
    """An ink: its aim in one notation, D50 unless ``white`` says otherwise."""

    key: Key
    name: Name
    lab: Triple | None = None
    lch: Triple | None = None
    xyy: Triple | None = None
    xyz: Triple | None = None
    srgb: Annotated[Triple | None, BeforeValidator(_read_hex)] = None
    white: Literal["D50", "D65"] | None = None
    finish: Annotated[Finish, Word] = Finish.SATIN
    tolerance: Difference | None = None
    spectrum: list[Reflectance] | None = None
    prints: Annotated[Prints, Word] = Prints.SPOT


class PaletteTable(Table):
    """The whole palette."""

    key: Key | None = None
    name: Name
    source: Name
    illuminant: Literal["D50"] = "D50"
    observer: Literal["2"] = "2"
    condition: Literal["M1"] = "M1"
    tolerance: Difference | None = None
    spectra: SpectraTable = SpectraTable()
    inks: Annotated[list[InkTable], Field(min_length=1)]
