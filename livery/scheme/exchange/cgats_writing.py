"""Readings as CGATS text, ISO 28178."""

from __future__ import annotations

from collections.abc import Sequence

from livery.errors import ExchangeError, Fault
from livery.scheme.exchange.model import Conditions, Reading


def render_cgats(
    readings: Sequence[Reading], description: str = "", originator: str = "livery"
) -> str:
    r"""Write readings: their names, Lab and spectra with every digit, conditions in the head.

    Args:
        readings: all with Lab or none, all with spectra at the same wavelengths or none, all
            under the same conditions.
        description: one line about the whole.
        originator: who made it.

    Returns:
        The text, with ``\n`` line ends; reflectances in unit.

    Raises:
        ExchangeError: readings that do not fit one table.

    Source:
        [source: iso-28178]
    """
    _check(readings)
    first = readings[0]
    fields = ["SAMPLE_ID", "SAMPLE_NAME"]
    if first.lab is not None:
        fields += ["LAB_L", "LAB_A", "LAB_B"]
    if first.spectrum is not None:
        fields += [f"SPECTRAL_DEC{number(wave)}" for wave in first.spectrum.wavelengths_nm]
    lines = [
        "ISO28178",
        f"ORIGINATOR {quote(originator)}",
        *([f"FILE_DESCRIPTOR {quote(description)}"] if description else []),
        *_conditions(first.conditions),
        f"NUMBER_OF_FIELDS {len(fields)}",
        "BEGIN_DATA_FORMAT",
        "\t".join(fields),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(readings)}",
        "BEGIN_DATA",
        *("\t".join(_row(reading)) for reading in readings),
        "END_DATA",
    ]
    return "\n".join(lines) + "\n"


def number(value: float) -> str:
    """The shortest digits that give the same number again."""
    return repr(float(value)).removesuffix(".0")


def quote(text: str) -> str:
    """Text in quotation marks, on one line; its own are doubled."""
    return '"' + " ".join(text.split()).replace('"', '""') + '"'


def _conditions(conditions: Conditions) -> list[str]:
    lines = []
    if conditions.illuminant is not None:
        lines.append(f"ILLUMINANT {quote(conditions.illuminant)}")
    if conditions.observer_deg is not None:
        lines.append(f"OBSERVER {quote(str(conditions.observer_deg))}")
    if conditions.measurement is not None:
        lines.append(f"MEASUREMENT_CONDITION {quote(conditions.measurement)}")
    return [line for key in lines for line in (f"KEYWORD {quote(key.split()[0])}", key)]


def _row(reading: Reading) -> list[str]:
    cells = [quote(reading.id), quote(reading.name)]
    if reading.lab is not None:
        cells += [number(value) for value in reading.lab]
    if reading.spectrum is not None:
        cells += [number(value) for value in reading.spectrum.reflectance]
    return cells


def _check(readings: Sequence[Reading]) -> None:
    if not readings:
        _refuse("there is nothing to write", "Give at least one reading")
    if len({_shape(reading) for reading in readings}) > 1:
        found = "the readings differ in what they hold, their wavelengths or conditions"
        _refuse(found, "Write each kind to a file of its own")
    if readings[0].lab is None and readings[0].spectrum is None:
        _refuse("the readings hold neither Lab nor spectra", "Give either")


def _shape(reading: Reading) -> tuple[object, ...]:
    spectrum = reading.spectrum
    waves = None if spectrum is None else tuple(float(wave) for wave in spectrum.wavelengths_nm)
    return (reading.lab is None, waves, reading.conditions)


def _refuse(found: str, mend: str) -> None:
    raise ExchangeError(Fault("CGATS", "", None, found, mend))
