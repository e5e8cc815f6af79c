"""Colours of a file brought to D50, 2° and M1, or refused; either way it is said."""

from __future__ import annotations

import numpy as np

from livery.colour import (
    WHITE_D50,
    WHITE_D65,
    adapt,
    ciede2000,
    lab_to_xyz,
    spectrum_to_lab,
    xyz_to_lab,
)
from livery.drawing import LabColour, lab_colour
from livery.errors import ColourError, ExchangeError, Fault
from livery.scheme.exchange.model import (
    ColourFile,
    Conditions,
    MeasurementCondition,
    Reading,
    Settled,
    SettledReading,
)
from livery.scheme.exchange.numbers import check_lab
from livery.scheme.model import Spectrum

AGREES_DE00 = 1.0
"""How far Lab may be from the spectrum beside it, under the same light; tables of weights of
different steps differ by a few tenths. Source: workshop-choice."""

_CHECKED = ("D50", "D65", "A")  # smooth lights, for which the step hardly matters

_UNSAID = Conditions()
_NOTHING = frozenset[MeasurementCondition]()


class _Ledger:
    """Faults and notes, each once, in the order they came up."""

    def __init__(self, shown: str) -> None:
        self.shown = shown
        self.faults: dict[Fault, None] = {}
        self.notes: dict[str, None] = {}

    def refuse(self, found: str, mend: str, reading: Reading | None = None) -> None:
        place, line = (reading.name, reading.line) if reading else ("", None)
        self.faults[Fault(self.shown, place, line, found, mend)] = None

    def note(self, text: str) -> None:
        self.notes[text] = None


def settle(
    file: ColourFile,
    stated: Conditions = _UNSAID,
    accept: frozenset[MeasurementCondition] = _NOTHING,
) -> Settled:
    """Bring every reading to D50, 2° and M1.

    A spectrum is reckoned under D50 whatever light its file names; Lab alone is taken from D65 to
    D50 by Bradford's transform, and refused from any other light or observer. M0, M2 and M3 are
    refused, as no formula makes M1 of them, unless the user accepts them.

    Args:
        file: as it was read.
        stated: what the user knows and the file does not say.
        accept: measurement conditions other than M1 to be taken as they are.

    Raises:
        ExchangeError: every reason why the file cannot be used.

    Source:
        [source: bradford], [source: iso-13655]
    """
    ledger = _Ledger(file.shown)
    for text in file.notes:
        ledger.note(text)
    settled = [
        found
        for reading in file.readings
        if (found := _settle(reading, _fill(reading, stated, ledger), accept, ledger))
    ]
    if ledger.faults:
        raise ExchangeError(*ledger.faults)
    return Settled(tuple(settled), tuple(ledger.notes), file.shown, file.digest)


def _fill(reading: Reading, stated: Conditions, ledger: _Ledger) -> Conditions:
    """The file's conditions, and the user's where it has none; they may not contradict."""
    said = reading.conditions
    for name in ("illuminant", "observer_deg", "measurement"):
        one, other = getattr(said, name), getattr(stated, name)
        if one is not None and other is not None and one != other:
            ledger.refuse(f"the file says {one}, you say {other}", "Leave out what does not hold")
        elif one is None and other is not None:
            ledger.note(f"{other} is taken on your word: the file does not say")
    return Conditions(
        said.illuminant or stated.illuminant,
        said.observer_deg or stated.observer_deg,
        said.measurement or stated.measurement,
    )


def _settle(
    reading: Reading,
    conditions: Conditions,
    accept: frozenset[MeasurementCondition],
    ledger: _Ledger,
) -> SettledReading | None:
    _check_measurement(conditions.measurement, accept, ledger)
    if reading.spectrum is not None:
        lab = _from_spectrum(reading, reading.spectrum, conditions, ledger)
    elif reading.lab is not None:
        lab = _from_lab(reading.lab, conditions, ledger)
    else:
        ledger.refuse("it has neither Lab nor a spectrum", "Export either", reading)
        lab = None
    if lab is None:
        return None
    return SettledReading(reading.name, reading.id, lab, reading.spectrum)


def _check_measurement(
    found: MeasurementCondition | None,
    accept: frozenset[MeasurementCondition],
    ledger: _Ledger,
) -> None:
    if found is None:
        ledger.refuse(
            "nothing says under which condition of ISO 13655 it was measured",
            "Ask who measured it, and state it (--measurement M1)",
        )
    elif found is not MeasurementCondition.M1:
        if found in accept:
            ledger.note(
                f"measured under {found} and used as if under M1, as you accept: papers and inks "
                "with brighteners differ"
            )
        else:
            ledger.refuse(
                f"it was measured under {found}, and no formula makes M1 of that",
                f"Measure under M1, or accept it as it is (--accept {found})",
            )


def _from_spectrum(
    reading: Reading, spectrum: Spectrum, conditions: Conditions, ledger: _Ledger
) -> LabColour | None:
    """Lab of a spectrum under D50, held against the Lab that stands beside it."""
    try:
        seen = spectrum_to_lab(spectrum.wavelengths_nm, spectrum.reflectance)
    except ColourError as error:
        ledger.refuse(str(error).rstrip("."), "Export the spectra again", reading)
        return None
    if problem := check_lab(lab_colour(seen)):
        ledger.refuse(f"its spectrum is not right: {problem}", "Export the spectra again", reading)
        return None
    if reading.lab is not None:
        if conditions.observer_deg == 2 and conditions.illuminant in _CHECKED:
            light = conditions.illuminant
            same = spectrum_to_lab(spectrum.wavelengths_nm, spectrum.reflectance, light)
            apart = float(ciede2000(same, reading.lab))
            if apart > AGREES_DE00:
                found = f"its Lab and its spectrum are {apart:.1f} CIEDE2000 apart under {light}"
                ledger.refuse(found, "One of the two is damaged: export it again", reading)
                return None
        else:
            ledger.note("Lab beside spectra cannot be checked for its light; the spectra are used")
    if (conditions.illuminant, conditions.observer_deg) not in (("D50", 2), (None, None)):
        said = " ".join(
            str(one) for one in (conditions.illuminant, _degrees(conditions.observer_deg)) if one
        )
        if said not in ("D50", "2°"):
            ledger.note(f"the file is for {said}: its spectra were reckoned under D50, 2°")
    return lab_colour(seen)


def _from_lab(lab: LabColour, conditions: Conditions, ledger: _Ledger) -> LabColour | None:
    light, observer = conditions.illuminant, conditions.observer_deg
    if light is None:
        mend = "Ask who exported it, and state it (--illuminant D50)"
        ledger.refuse("nothing says under which light its Lab is reckoned", mend)
    if observer is None:
        mend = "Ask who exported it, and state it (--observer 2)"
        ledger.refuse("nothing says for which observer its Lab is reckoned", mend)
    elif observer != 2:
        mend = "Export Lab for 2°, or the spectra"
        ledger.refuse(f"Lab for the {observer}° observer cannot be made Lab for 2°", mend)
    if light is None or observer != 2:
        return None
    if light == "D50":
        return lab
    if light == "D65":
        ledger.note(
            "Lab under D65 was taken to D50 by Bradford's transform; spectra would be exact"
        )
        xyz = adapt(lab_to_xyz(np.asarray(lab), WHITE_D65), WHITE_D65, WHITE_D50)
        return lab_colour(xyz_to_lab(xyz))
    ledger.refuse(
        f"Lab under {light} cannot be made Lab under D50", "Export Lab under D50, or the spectra"
    )
    return None


def _degrees(observer: int | None) -> str:
    return f"{observer}°" if observer else ""
