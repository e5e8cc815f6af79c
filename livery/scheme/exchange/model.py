"""What a colour file says, before and after it is brought to the house's conditions."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from livery.drawing import LabColour
from livery.scheme.model import Spectrum


class MeasurementCondition(StrEnum):
    """The light in the instrument, ISO 13655: its ultraviolet, and polarisation."""

    M0 = "M0"  # incandescent, ultraviolet not defined
    M1 = "M1"  # daylight D50, ultraviolet defined
    M2 = "M2"  # ultraviolet excluded
    M3 = "M3"  # polarised


class Unit(StrEnum):
    """What a reflectance of a perfect white is written as."""

    UNIT = "unit"  # 1
    PERCENT = "percent"  # 100


@dataclass(frozen=True, slots=True)
class Conditions:
    """Under what a colour was measured and reckoned; None where nobody says.

    Attributes:
        illuminant: CIE's name of the light that Lab was reckoned under.
        observer_deg: 2 or 10.
        measurement: ISO 13655's condition.
    """

    illuminant: str | None = None
    observer_deg: int | None = None
    measurement: MeasurementCondition | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """One colour of a file.

    Attributes:
        name: as people say it; the file's identifier where it has no name.
        id: the file's identifier.
        lab: as written, under ``conditions``; None where the file has none.
        spectrum: reflectance factor, 1 for a perfect white; None where the file has none.
        line: 1-based line, or None.
    """

    name: str
    id: str
    lab: LabColour | None
    spectrum: Spectrum | None
    conditions: Conditions = Conditions()
    line: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class ColourFile:
    """A colour file as it was written.

    Attributes:
        shown: its path as the user gave it.
        form: ``cgats`` or ``cxf``.
        keywords: what else its head says, (keyword, value), in order.
        notes: what had to be read past.
        digest: SHA-256 of its bytes, hexadecimal; "" for one not read from a file.
    """

    shown: str
    form: str
    readings: tuple[Reading, ...]
    keywords: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
    digest: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class SettledReading:
    """One colour under the house's conditions: D50, 2°, M1."""

    name: str
    id: str
    lab: LabColour
    spectrum: Spectrum | None


@dataclass(frozen=True, slots=True, eq=False)
class Settled:
    """A colour file under the house's conditions.

    Attributes:
        notes: what was converted, taken on the user's word, or read past; each said.
    """

    readings: tuple[SettledReading, ...]
    notes: tuple[str, ...]
    source: str
    digest: str

    def find(self, name: str) -> SettledReading | None:
        """The reading of that name or identifier; case and outer blanks do not matter."""
        wanted = name.strip().casefold()
        for reading in self.readings:
            if wanted in (reading.name.strip().casefold(), reading.id.strip().casefold()):
                return reading
        return None
