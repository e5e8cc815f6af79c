"""What a head says of light, observer and measurement condition; contradictions are faults."""

from __future__ import annotations

import re
from collections.abc import Iterable

from livery.scheme.exchange.model import Conditions, MeasurementCondition

_ILLUMINANT = r"(D(?:50|55|60|65|75)|F(?:L)?\d{1,2}|A|B|C|E|9300|TL8[34]|LED-[A-Z0-9]+)"
_NAMED_LIGHT = re.compile(rf"illumina(?:nt|tion)\w*[\s=:,\"]*{_ILLUMINANT}(?![\w-])", re.IGNORECASE)
_BARE_LIGHT = re.compile(rf"^\W*{_ILLUMINANT}\W*$", re.IGNORECASE)
_STRANGE_LIGHT = re.compile(r"^\W*[DF]\d+\W*$", re.IGNORECASE)
_OBSERVER = re.compile(r"observer\w*[\s=:,\"]*(\d{1,4})", re.IGNORECASE)
_BARE_OBSERVER = re.compile(
    r"^\W*(?:CIE\W*)?(?:19(?:31|64)\W*)?(\d{1,4})\W*(?:_?deg\w*|°)?\W*$", re.I
)
_CONDITION = re.compile(r"(?<![\w])(M[0-3])(?![\w])", re.IGNORECASE)
_CUT = re.compile(r"uv\W*(?:cut|excluded|filter(?:ed)?)", re.IGNORECASE)
_OFF = re.compile(r"^\W*(?:no|none|off|false|0)\W*$", re.IGNORECASE)

_MOST_SAID = 400  # characters of a keyword's value that are looked at [source: workshop-choice]
_LIGHT_KEYS = {"ILLUMINANT", "ILLUMINANT_NAME", "ILLUMINATION", "ILLUMINATION_NAME"}
_OBSERVER_KEYS = {"OBSERVER", "OBSERVER_ANGLE", "OBSERVER_ANGLE_DEG"}
_CONDITION_KEYS = {
    "MEASUREMENT_CONDITION",
    "MEASUREMENT_CONDITIONS",
    "MEASUREMENT_MODE",
    "MEASUREMENT_FILTER",
    "FILTER",
    "FILTER_NAME",
}
_TELLING = {
    "MEASUREMENT_SOURCE",
    "MEASUREMENT_SETTINGS",
    "WEIGHTING_FUNCTION",
    "COMPUTATIONAL_PARAMETER",
}


def read_conditions(keywords: Iterable[tuple[str, str]]) -> tuple[Conditions, tuple[str, ...]]:
    """Conditions from a head's keywords.

    Args:
        keywords: (keyword, value), as written.

    Returns:
        What is said, and every contradiction or unknown light in words.

    Source:
        [source: iso-28178]
    """
    lights: set[str] = set()
    observers: set[int] = set()
    measured: set[str] = set()
    strange: list[str] = []
    for keyword, value in keywords:
        key, value = keyword.upper(), value[:_MOST_SAID]
        if key in _LIGHT_KEYS:
            if found := _BARE_LIGHT.match(value):
                lights.add(cie_name(found[1]))
            elif _STRANGE_LIGHT.match(value):
                strange.append(f"{keyword} {value!r} is no light of CIE's")
        if key in _OBSERVER_KEYS and (found := _BARE_OBSERVER.match(value)):
            observers.add(int(found[1]))
        if key == "POLARIZATION" and value.strip() and not _OFF.match(value):
            measured.add("M3")
        if key in _LIGHT_KEYS | _CONDITION_KEYS | _TELLING:
            measured.update(found.upper() for found in _CONDITION.findall(value))
            measured.update("M2" for _ in _CUT.findall(value))
        if key in _TELLING:
            lights.update(cie_name(found) for found in _NAMED_LIGHT.findall(value))
            observers.update(int(found) for found in _OBSERVER.findall(value))
    return conclude(lights, observers, measured, strange)


def conclude(
    lights: set[str], observers: set[int], measured: set[str], strange: Iterable[str] = ()
) -> tuple[Conditions, tuple[str, ...]]:
    """One set of conditions from all that was said; two answers to one question are a fault."""
    wrong = list(strange)
    for what, said in (
        ("illuminants", lights),
        ("observers", observers),
        ("measurement conditions", measured),
    ):
        if len(said) > 1:
            names = " and ".join(str(one) for one in sorted(said, key=str))
            wrong.append(f"it names two {what}, {names}")
    wrong += [f"an observer of {one}° is not CIE's" for one in sorted(observers - {2, 10})]
    conditions = Conditions(
        min(lights, default=None),
        min(observers, default=None),
        MeasurementCondition(min(measured)) if measured else None,
    )
    return conditions, tuple(wrong)


def cie_name(light: str) -> str:
    """CIE's name of a light; F11 and FL11 are one."""
    return re.sub(r"^F(\d)", r"FL\1", light.upper())
