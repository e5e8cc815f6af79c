"""Written and read again: the same numbers, by us and by an independent reader of CxF."""

import numpy as np
import pytest

from livery.errors import ExchangeError
from livery.scheme.exchange import (
    Conditions,
    MeasurementCondition,
    Reading,
    render_cgats,
    render_cxf,
)
from livery.scheme.exchange.reading import parse_colours
from livery.scheme.model import Spectrum


def same(found, wanted):
    assert [(one.name, one.id, one.lab) for one in found] == [
        (one.name, one.id, one.lab) for one in wanted
    ]
    for one, other in zip(found, wanted, strict=True):
        assert one.conditions == other.conditions
        if other.spectrum is None:
            assert one.spectrum is None
        else:
            assert one.spectrum.wavelengths_nm.tolist() == other.spectrum.wavelengths_nm.tolist()
            assert one.spectrum.reflectance.tolist() == other.spectrum.reflectance.tolist()


WRITERS = {
    "cgats": lambda readings: render_cgats(readings, "a batch").encode(),
    "cxf": lambda readings: render_cxf(readings, "a batch"),
}


@pytest.mark.parametrize("form", WRITERS)
@pytest.mark.parametrize("what", ["both", "Lab", "spectra"])
def test_every_digit_survives(form, what, measured):
    generator = np.random.default_rng(3)
    readings = []
    for one in measured():
        values = one.spectrum.reflectance * generator.uniform(0.9, 1.0, 36)
        lab = tuple(generator.uniform(0, 100, 3)) if what != "spectra" else None
        spectrum = Spectrum(one.spectrum.wavelengths_nm, values) if what != "Lab" else None
        readings.append(Reading(one.name, one.id, lab, spectrum, one.conditions))
    written = WRITERS[form](readings)
    file = parse_colours(written, "file")
    same(file.readings, readings)
    assert WRITERS[form](file.readings) == written
    assert dict(file.keywords).get("FILE_DESCRIPTOR", dict(file.keywords).get("Description")) == (
        "a batch"
    )


@pytest.mark.parametrize("form", WRITERS)
@pytest.mark.parametrize(
    "dialect", [{}, {"comma": True}, {"percent": True}, {"lab": False}, {"spectra": False}]
)
def test_digits_of_any_dialect_survive(form, dialect, cgats, cxf):
    shape = {**dialect, "prefix": "NM"} if form == "cgats" else dialect
    file = parse_colours((cgats if form == "cgats" else cxf)(**shape).encode(), "file")
    for writer in WRITERS.values():
        same(parse_colours(writer(file.readings), "again").readings, file.readings)


@pytest.mark.parametrize("form", WRITERS)
def test_awkward_names_survive(form):
    names = ['Zoë’s <red> & "blue"', "# 5", "a; b, c", "日本", "END_DATA", "x"]
    conditions = Conditions("D50", 2, MeasurementCondition.M1)
    readings = [
        Reading(n, f"{i}", (50.0, 1.5, -2.25), None, conditions) for i, n in enumerate(names)
    ]
    same(parse_colours(WRITERS[form](readings), "file").readings, readings)


def test_an_independent_reader_agrees(measured):
    import colour_cxf

    readings = measured()
    document = colour_cxf.read_cxf(render_cxf(readings, "a batch", date="2027-01-18"))
    found = document.resources.object_collection.object_value
    assert [one.name for one in found] == [one.name for one in readings]
    for one, wanted in zip(found, readings, strict=True):
        values = {type(v).__name__: v for v in one.color_values.choice}
        assert values["ReflectanceSpectrum"].value == wanted.spectrum.reflectance.tolist()
        lab = values["ColorCielab"]
        assert (lab.l, lab.a, lab.b) == wanted.lab
    (spec,) = document.resources.color_specification_collection.color_specification
    bands = spec.measurement_spec.wavelength_range
    assert (bands.start_wl, bands.increment) == (380, 10)
    assert spec.measurement_spec.device.device_illumination.value.value == "M1_Daylight"


def test_what_an_independent_writer_writes_is_read(measured):
    import colour_cxf

    readings = measured()
    document = colour_cxf.read_cxf(render_cxf(readings, "a batch"))
    same(parse_colours(colour_cxf.write_cxf(document), "file").readings, readings)


def test_what_a_form_cannot_say_is_refused(measured):
    one = measured()[0]
    with pytest.raises(ExchangeError, match="nothing to write"):
        render_cgats([])
    with pytest.raises(ExchangeError, match="nothing to write"):
        render_cxf([])
    lab_only = Reading("a", "a", (50.0, 0.0, 0.0), None, Conditions())
    with pytest.raises(ExchangeError, match="differ"):
        render_cgats([one, lab_only])
    with pytest.raises(ExchangeError, match="not said"):
        render_cxf([lab_only])
    with pytest.raises(ExchangeError, match="neither"):
        render_cgats([Reading("a", "a", None, None)])
    thirds = Spectrum(380 + np.arange(106) * 10 / 3, np.full(106, 0.5))
    with pytest.raises(ExchangeError, match="CGATS"):
        render_cxf([Reading("a", "a", None, thirds, one.conditions)])
    strange = Conditions("LED-B1", 2, MeasurementCondition.M1)
    with pytest.raises(ExchangeError, match="no name for the light"):
        render_cxf([Reading("a", "a", (50.0, 0.0, 0.0), None, strange)])
