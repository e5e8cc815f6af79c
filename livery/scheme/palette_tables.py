"""The shape of a palette file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from livery.scheme.fields import Difference, Key, Name, Table, Words

Reflectance = Annotated[float, Field(ge=0, le=2)]
Nanometres = Annotated[float, Field(gt=0, le=2500)]


class SpectraTable(Table):
    """The wavelengths that every ink's spectrum is given at."""

    first_nm: Nanometres = 380.0
    last_nm: Nanometres = 730.0
    step_nm: Nanometres = 10.0


class InkTable(Table):
    """An ink: its aim as Lab numbers or as words, never both."""

    key: Key
    name: Name
    lab: Annotated[list[float], Field(min_length=3, max_length=3)] | None = None
    colour: Words | None = None
    finish: Literal["matt", "satin", "gloss", "metallic"] = "satin"
    tolerance: Difference | None = None
    spectrum: list[Reflectance] | None = None


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
