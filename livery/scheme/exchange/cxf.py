"""CxF 3, the language of CxF/X (ISO 17972), becomes readings. No DTD, no entities, no network."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, cast

import numpy as np

from livery.drawing import LabColour, lab_colour
from livery.errors import ExchangeError, Fault
from livery.scheme.exchange.conditions import cie_name, conclude
from livery.scheme.exchange.decoding import refuse
from livery.scheme.exchange.model import ColourFile, Conditions, Reading, Unit
from livery.scheme.exchange.numbers import (
    as_factor,
    check_lab,
    check_wavelengths,
    decide_unit,
    parse_numbers,
)
from livery.scheme.model import Spectrum

if TYPE_CHECKING:
    from lxml.etree import _Element

NAMESPACE = "http://colorexchangeformat.com/CxF3-core"
"""Source: cxf-3."""

_ILLUMINATION = re.compile(r"(M[0-3])_")


@dataclass(frozen=True, slots=True)
class _Spec:
    """A colour specification: conditions, and the wavelengths of its spectra."""

    conditions: Conditions
    start_nm: Decimal | None
    step_nm: Decimal | None


@dataclass(frozen=True, slots=True)
class _Raw:
    name: str
    id: str
    lab: LabColour | None
    waves: tuple[float, ...]
    spectral: tuple[Decimal, ...]
    conditions: Conditions
    line: int | None


def read_cxf(data: bytes, shown: str, stated: Unit | None = None) -> ColourFile:
    """Read a CxF file.

    Args:
        data: the file's bytes.
        shown: its path, for messages.
        stated: what the user says reflectances are; the format's own is unit.

    Raises:
        ExchangeError: every fault found.

    Source:
        [source: cxf-3]
    """
    root = _parse(data, shown)
    notes: list[str] = []
    if _space(root) != NAMESPACE:
        notes.append("it names no namespace; read as CxF 3")
    specs = {
        _attribute(spec, "Id"): _read_spec(spec, shown) for spec in _all(root, "ColorSpecification")
    }
    raw: list[_Raw] = []
    for item in _all(root, "Object"):
        found = _read_object(item, specs, shown)
        if found is None:
            notes.append(f"{_attribute(item, 'Name')!r} has neither Lab nor reflectances; left out")
        else:
            raw.append(found)
    if not raw:
        refuse(shown, "no object has Lab or reflectances", "Export them with the objects")
    information = next(_all(root, "FileInformation"), None)
    keywords = [] if information is None else [(_local(e), _text(e)) for e in information]
    unit, more = _find_unit(raw, stated, shown)
    readings = tuple(
        Reading(
            one.name,
            one.id,
            one.lab,
            Spectrum(np.array(one.waves), as_factor(one.spectral, unit)) if one.spectral else None,
            one.conditions,
            one.line,
        )
        for one in raw
    )
    kept = tuple((key, value) for key, value in keywords if value)
    return ColourFile(shown, "cxf", readings, kept, (*notes, *more))


def _parse(data: bytes, shown: str) -> _Element:
    from lxml import etree

    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        remove_comments=True,
        remove_pis=True,
        huge_tree=False,
    )
    try:
        root = etree.fromstring(data.strip(b" \t\r\n"), parser)
    except (etree.XMLSyntaxError, ValueError) as error:
        line = getattr(error, "lineno", None)
        refuse(shown, f"it is not XML ({error})", "Export the file again", line=line)
    if root.getroottree().docinfo.internalDTD is not None:
        refuse(shown, "it has a document type declaration", "Remove <!DOCTYPE …>")
    if _local(root) != "CxF" or _space(root) not in (NAMESPACE, ""):
        found = f"its root is {root.tag!s}"[:120]
        refuse(shown, found, f"CxF 3 begins with CxF in {NAMESPACE}", line=_line(root))
    return root


def _read_spec(spec: _Element, shown: str) -> _Spec:
    lights = {cie_name(_text(e)) for e in _all(spec, "Illuminant") if _text(e)}
    if any(True for _ in _all(spec, "CustomIlluminant")):
        lights.add("CUSTOM")
    seen = {_text(e) for e in _all(spec, "Observer") if _text(e)}
    observers = {int(found[1]) for one in seen if (found := re.match(r"(\d{1,4})", one))}
    measured = {
        found[1]
        for e in _all(spec, "DeviceIllumination")
        if (found := _ILLUMINATION.match(_text(e)))
    }
    if any(_text(e) == "Filter_UVExcluded" for e in _all(spec, "DeviceFilter")):
        measured.add("M2")
    if any(_text(e) in ("true", "1") for e in _all(spec, "DevicePolarization")):
        measured.add("M3")
    strange = sorted(
        f"an observer {one!r} is not CIE's" for one in seen if not re.match(r"(2|10)_Degree$", one)
    )
    conditions, wrong = conclude(lights, observers & {2, 10}, measured, strange)
    if wrong:
        place, mend = _attribute(spec, "Id"), "Correct the colour specification"
        raise ExchangeError(*(Fault(shown, place, _line(spec), one, mend) for one in wrong))
    bands = next(_all(spec, "WavelengthRange"), None)
    start, step = (
        (None, None)
        if bands is None
        else (_number(bands, name, shown) for name in ("StartWL", "Increment"))
    )
    return _Spec(conditions, start, step)


def _read_object(item: _Element, specs: dict[str, _Spec], shown: str) -> _Raw | None:
    """Lab and reflectances of one object; each at most once."""
    values = next(_all(item, "ColorValues"), None)
    if values is None:
        return None
    name, id_ = _attribute(item, "Name"), _attribute(item, "Id")
    labs = [e for e in values if _local(e) == "ColorCIELab"]
    spectra = [e for e in values if _local(e) == "ReflectanceSpectrum"]
    if len(labs) > 1 or len(spectra) > 1:
        found = "it has several Lab colours or spectra, and which is meant is not said"
        refuse(shown, found, "Export one condition", place=name or id_, line=_line(item))
    used = {_attribute(e, "ColorSpecification") for e in (*labs, *spectra)}
    if missing := sorted(used - set(specs) - {""}):
        found = f"it names the colour specification {missing[0]!r}, which is not there"
        refuse(shown, found, "Export the file again", place=name, line=_line(item))
    told = [specs[key] for key in sorted(used) if key in specs]
    if not labs and not spectra:
        return None
    lab = _read_lab(labs[0], shown) if labs else None
    waves, spectral = _read_spectrum(spectra[0], specs, shown) if spectra else ((), ())
    conditions = _merge(told, labs, specs, shown, name)
    return _Raw(name or id_, id_ or name, lab, waves, spectral, conditions, _line(item))


def _merge(
    told: list[_Spec], labs: list[_Element], specs: dict[str, _Spec], shown: str, name: str
) -> Conditions:
    """Light and observer are the Lab's own; the measurement condition must be one."""
    measured = {str(one.conditions.measurement) for one in told if one.conditions.measurement}
    own = specs.get(_attribute(labs[0], "ColorSpecification")) if labs else None
    basis = own.conditions if own else told[0].conditions if told else Conditions()
    lights = {basis.illuminant} if basis.illuminant else set()
    observers = {basis.observer_deg} if basis.observer_deg else set()
    conditions, wrong = conclude(lights, observers, measured)
    if wrong:
        refuse(shown, wrong[0], "Export one condition", place=name)
    return conditions


def _read_lab(element: _Element, shown: str) -> LabColour:
    parts = {_local(e): _text(e) for e in element}
    numbers = parse_numbers([parts.get(name, "") for name in ("L", "A", "B")])
    if isinstance(numbers, str):
        refuse(shown, f"ColorCIELab: {numbers}", "Give L, A and B", line=_line(element))
    lab = lab_colour(numbers)
    if problem := check_lab(lab):
        refuse(shown, problem, "Export Lab as CIE defines it", line=_line(element))
    return lab


def _read_spectrum(
    element: _Element, specs: dict[str, _Spec], shown: str
) -> tuple[tuple[float, ...], tuple[Decimal, ...]]:
    numbers = parse_numbers(_text(element).split())
    if isinstance(numbers, str):
        refuse(shown, f"ReflectanceSpectrum: {numbers}", "Export again", line=_line(element))
    spec = specs.get(_attribute(element, "ColorSpecification"))
    own = _number(element, "StartWL", shown) if element.get("StartWL") else None
    start = own if own is not None else spec.start_nm if spec else None
    step = spec.step_nm if spec else None
    if own is not None and spec and spec.start_nm not in (None, own):
        found = f"its spectrum starts at {own} nm, by its specification at {spec.start_nm} nm"
        refuse(shown, found, "Export the file again", line=_line(element))
    if start is None or step is None:
        found = "nothing says at which wavelengths its spectrum was measured"
        mend = "Give WavelengthRange a StartWL and an Increment"
        refuse(shown, found, mend, line=_line(element))
    waves = tuple(float(start + step * at) for at in range(len(numbers)))
    if problem := check_wavelengths(waves):
        refuse(shown, problem, "Export the file again", line=_line(element))
    return waves, tuple(numbers)


def _find_unit(raw: list[_Raw], stated: Unit | None, shown: str) -> tuple[Unit, tuple[str, ...]]:
    """The format writes unit; a file that cannot be is taken as percent, and that is said."""
    by_length: dict[int, list[tuple[Decimal, ...]]] = {}
    for one in raw:
        if one.spectral:
            by_length.setdefault(len(one.spectral), []).append(one.spectral)
    found = {decide_unit(rows, stated) or Unit.UNIT for rows in by_length.values()}
    if not found:
        return Unit.UNIT, ()
    for answer in sorted(found, key=str):
        if not isinstance(answer, Unit):
            refuse(shown, str(answer), "Export the spectra again, or say what they are")
    if len(found) > 1:
        refuse(shown, "some spectra are percent, some unit", "Export the file again")
    unit = cast(Unit, found.pop())
    told = unit is Unit.PERCENT and stated is None
    return unit, (("its reflectances are percent, not the format's unit",) if told else ())


def _all(element: _Element, name: str) -> Iterator[_Element]:
    return (e for e in element.iter() if isinstance(e.tag, str) and _local(e) == name)


def _local(element: _Element) -> str:
    return str(element.tag).rpartition("}")[2]


def _space(element: _Element) -> str:
    return str(element.tag).rpartition("}")[0].lstrip("{")


def _text(element: _Element) -> str:
    return "".join(str(piece) for piece in element.itertext()).strip()


def _line(element: _Element) -> int | None:
    return cast("int | None", element.sourceline)


def _attribute(element: _Element, name: str) -> str:
    return (element.get(name) or "").strip()


def _number(element: _Element, name: str, shown: str) -> Decimal | None:
    written = _attribute(element, name)
    if not written:
        return None
    numbers = parse_numbers([written])
    if isinstance(numbers, str):
        refuse(shown, f"{name}: {numbers}", "Export the file again", line=_line(element))
    return numbers[0]
