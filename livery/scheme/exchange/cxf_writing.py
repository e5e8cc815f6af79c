"""Readings as CxF 3, the language of CxF/X (ISO 17972)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from livery.errors import ExchangeError, Fault
from livery.scheme.exchange.cgats_writing import number
from livery.scheme.exchange.cxf import NAMESPACE
from livery.scheme.exchange.model import Conditions, MeasurementCondition, Reading

if TYPE_CHECKING:
    from lxml.etree import _Element

_EPOCH = "1970-01-01T00:00:00Z"  # the format demands a date; livery never reads the clock
_ILLUMINATION = {
    MeasurementCondition.M0: "M0_Incandescent",
    MeasurementCondition.M1: "M1_Daylight",
    MeasurementCondition.M2: "M2_UVExcluded",
    MeasurementCondition.M3: "M3_Polarized",
}
_LIGHTS = ("A", "C", "D50", "D55", "D65", "D75", "FL2", "FL7", "FL11", "FL12")


def render_cxf(
    readings: Sequence[Reading],
    description: str = "",
    originator: str = "livery",
    date: str = "",
) -> bytes:
    """Write readings as a CxF file.

    Args:
        readings: with Lab, spectra or both; Lab with its illuminant and observer said.
        description: one line about the whole.
        originator: who made it.
        date: ISO 8601 day; a fixed one unless given, as the format demands it.

    Returns:
        UTF-8 XML; reflectances in unit with every digit.

    Raises:
        ExchangeError: conditions not said, or wavelengths the format cannot express.

    Source:
        [source: cxf-3]
    """
    from lxml import etree

    if not readings:
        raise ExchangeError(Fault("CxF", "", None, "there is nothing to write", "Give a reading"))
    made = f"{date}T00:00:00Z" if date else _EPOCH
    root = etree.Element(f"{{{NAMESPACE}}}CxF", nsmap={"cc": NAMESPACE})
    head = _add(root, "FileInformation")
    _add(head, "Creator", originator)
    _add(head, "CreationDate", made)
    _add(head, "Description", description or "Colour readings")
    resources = _add(root, "Resources")
    objects = _add(resources, "ObjectCollection")
    specs: dict[tuple[Conditions, tuple[str, str] | None], str] = {}
    seen: dict[str, int] = {}
    for reading in readings:
        _write_object(objects, reading, specs, made, seen)
    collection = _add(resources, "ColorSpecificationCollection")
    for (conditions, bands), key in specs.items():
        _write_spec(collection, key, conditions, bands)
    etree.indent(root, " ")
    written: bytes = etree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return written + b"\n"


def _write_object(
    objects: _Element,
    reading: Reading,
    specs: dict[tuple[Conditions, tuple[str, str] | None], str],
    made: str,
    seen: dict[str, int],
) -> None:
    id_ = reading.id or reading.name or "sample"
    seen[id_] = seen.get(id_, 0) + 1
    unique = id_ if seen[id_] == 1 else f"{id_} ({seen[id_]})"
    item = _add(objects, "Object", ObjectType="Standard", Name=reading.name, Id=unique)
    _add(item, "CreationDate", made)
    values = _add(item, "ColorValues")
    key = (reading.conditions, _bands(reading))
    spec = specs.setdefault(key, f"CS{len(specs) + 1}")
    if reading.spectrum is not None and key[1] is not None:
        text = " ".join(number(value) for value in reading.spectrum.reflectance)
        _add(values, "ReflectanceSpectrum", text, ColorSpecification=spec, StartWL=key[1][0])
    if reading.lab is not None:
        lab = _add(values, "ColorCIELab", ColorSpecification=spec)
        for name, value in zip("LAB", reading.lab, strict=True):
            _add(lab, name, number(value))


def _bands(reading: Reading) -> tuple[str, str] | None:
    """First wavelength and step, whole nanometres as the format has them."""
    if reading.spectrum is None:
        return None
    waves = reading.spectrum.wavelengths_nm
    step = float(waves[1] - waves[0])
    even = all(abs(wave - waves[0] - step * at) < 1e-9 for at, wave in enumerate(waves))
    if not even or step != round(step) or waves[0] != round(waves[0]) or waves[0] < 360:
        found = "its wavelengths are not whole nanometres in even steps from 360 nm or more"
        mend = "CxF cannot express them: write CGATS"
        raise ExchangeError(Fault("CxF", reading.name, None, found, mend))
    return f"{round(float(waves[0]))}", f"{round(step)}"


def _write_spec(
    parent: _Element, key: str, conditions: Conditions, bands: tuple[str, str] | None
) -> None:
    spec = _add(parent, "ColorSpecification", Id=key)
    light, observer = conditions.illuminant, conditions.observer_deg
    if light is not None and observer is not None:
        if light not in _LIGHTS:
            found = f"CxF has no name for the light {light}"
            raise ExchangeError(Fault("CxF", key, None, found, "Write CGATS"))
        tristimulus = _add(spec, "TristimulusSpec")
        _add(tristimulus, "Illuminant", light.replace("FL", "F"))
        _add(tristimulus, "Observer", f"{observer}_Degree")
        _add(tristimulus, "Method", "unknown")
    elif bands is None:
        found = "light and observer of a Lab colour are not said"
        raise ExchangeError(Fault("CxF", key, None, found, "State both"))
    measured = _add(spec, "MeasurementSpec")
    kind = "Spectrum_Reflectance" if bands else "Colorimetric_Reflectance"
    _add(measured, "MeasurementType", kind)
    _add(_add(measured, "GeometryChoice"), "UnknownGeometry", "unknown")
    if bands is not None:
        _add(measured, "WavelengthRange", StartWL=bands[0], Increment=bands[1])
    if conditions.measurement is not None:
        device = _add(measured, "Device")
        _add(device, "DeviceIllumination", _ILLUMINATION[conditions.measurement])


def _add(parent: _Element, name: str, text: str = "", **attributes: str) -> _Element:
    from lxml import etree

    element = etree.SubElement(parent, f"{{{NAMESPACE}}}{name}")
    for key, value in attributes.items():
        element.set(key, _allowed(value))
    if text:
        element.text = _allowed(text)
    return element


def _allowed(text: str) -> str:
    """Text without the control characters that XML cannot hold."""
    return "".join(letter for letter in text if letter >= " " or letter in "\t\n")
