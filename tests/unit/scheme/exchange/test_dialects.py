"""The same measurements in the dialects that programs write: always the same numbers."""

import codecs

import numpy as np
import pytest

from livery.colour import spectrum_to_lab
from livery.scheme.exchange import Conditions, Unit, settle
from livery.scheme.exchange.reading import parse_colours

NOTHING = Conditions()
FINE, THREE = np.arange(380, 731, 5), np.arange(382, 731, 3)


def check(data, measured, waves=None, stated=NOTHING, lab=True, spectra=True, **read):
    file = parse_colours(data if isinstance(data, bytes) else data.encode(), "file", **read)
    settled = settle(file, stated)
    expected = measured(waves) if waves is not None else measured()
    assert [one.name for one in file.readings] == [one.name for one in expected]
    assert [one.id for one in file.readings] == [one.id for one in expected]
    for found, house, wanted in zip(file.readings, settled.readings, expected, strict=True):
        if lab:
            assert found.lab == wanted.lab
        if spectra:
            assert found.spectrum.wavelengths_nm.tolist() == wanted.spectrum.wavelengths_nm.tolist()
            assert found.spectrum.reflectance.tolist() == wanted.spectrum.reflectance.tolist()
        assert house.lab == pytest.approx(wanted.lab, abs=0.02)
    return settled


CGATS = {
    "plain": {},
    "comma decimals": {"comma": True},
    "percent by name": {"percent": True, "prefix": "SPECTRAL_PCT"},
    "percent unsaid": {"percent": True, "prefix": "SPECTRAL_"},
    "percent with commas": {"percent": True, "prefix": "SPECTRAL_NM_", "comma": True},
    "unit unsaid": {"prefix": "SPECTRAL_NM"},
    "short names of columns": {"prefix": "NM"},
    "bare wavelengths": {"prefix": ""},
    "blanks between": {"separator": "   "},
    "semicolons and commas": {"separator": ";", "comma": True},
    "commas between": {"separator": ","},
    "no counts": {"counts": False},
    "no first line": {"head": ()},
    "another standard's name": {"head": ("ISO28178", 'ORIGINATOR "some one"', "# a remark")},
    "5 nm": {"waves": FINE},
    "3 nm": {"waves": THREE},
    "only spectra": {"lab": False},
    "only Lab": {"spectra": False},
    "source in one line": {
        "conditions": 'MEASUREMENT_SOURCE "Illumination=D50\tObserverAngle=2\tM1"'
    },
    "weighting functions": {
        "conditions": 'WEIGHTING_FUNCTION "ILLUMINANT, D50"\n'
        'WEIGHTING_FUNCTION "OBSERVER, 2 degree"\nFILTER "M1"'
    },
    "names of lights and angles": {
        "conditions": 'ILLUMINATION_NAME "D50"\nOBSERVER_ANGLE "2"\nMEASUREMENT_MODE "M1"'
    },
}
BYTES = {
    "carriage returns": lambda text: text.replace("\n", "\r\n").encode(),
    "old carriage returns": lambda text: text.replace("\n", "\r").encode(),
    "UTF-8 mark": lambda text: codecs.BOM_UTF8 + text.encode(),
    "UTF-16": lambda text: text.encode("utf-16"),
    "trailing blanks and end mark": lambda text: (text.replace("\n", " \t\n") + "\x1a").encode(),
    "lower case sections": lambda text: text.replace("BEGIN_DATA", "begin_data").encode(),
}


@pytest.mark.parametrize("name", CGATS)
def test_cgats_dialects(name, cgats, measured):
    shape = CGATS[name]
    check(
        cgats(**shape),
        measured,
        shape.get("waves"),
        lab=shape.get("lab", True),
        spectra=shape.get("spectra", True),
    )


@pytest.mark.parametrize("name", BYTES)
def test_cgats_bytes(name, cgats, measured):
    check(BYTES[name](cgats()), measured)


def test_names_with_blanks_need_no_quotes_between_tabs(cgats, measured):
    check(cgats(quote=False), measured)


def test_an_old_code_page_is_read_and_said(cgats, measured):
    file = parse_colours(cgats().replace("Tarn", "Tärn").encode("cp1252"), "file")
    assert file.readings[0].name == "Tärn"
    assert any("Windows-1252" in note for note in file.notes)


def test_pairs_of_wavelength_and_reflectance(measured):
    readings = measured()
    columns = "SAMPLE_ID " + " ".join(["SPECTRAL_NM SPECTRAL_PCT"] * 36)
    rows = [
        r.id
        + " "
        + " ".join(
            f"{w:g} {v * 100:.2f}"
            for w, v in zip(r.spectrum.wavelengths_nm, r.spectrum.reflectance, strict=True)
        )
        for r in readings
    ]
    text = "\n".join(
        [
            "CGATS.17",
            'FILTER "M1"',
            "BEGIN_DATA_FORMAT",
            columns,
            "END_DATA_FORMAT",
            "BEGIN_DATA",
            *rows,
            "END_DATA",
        ]
    )
    file = parse_colours(text.encode(), "file")
    for found, wanted in zip(file.readings, readings, strict=True):
        assert found.spectrum.reflectance.tolist() == wanted.spectrum.reflectance.tolist()


def test_rows_wrapped_over_lines_are_read_where_their_number_is_said(cgats, measured):
    lines = cgats(separator=" ").split("\n")
    start = lines.index("BEGIN_DATA") + 1
    wrapped = [
        part
        for line in lines[start : start + 4]
        for part in (line[:120].rsplit(" ", 1)[0], line[len(line[:120].rsplit(" ", 1)[0]) :])
    ]
    check("\n".join([*lines[:start], *wrapped, *lines[start + 4 :]]), measured)


CXF = {
    "plain": {},
    "default namespace": {"prefix": ""},
    "another prefix": {"prefix": "x:"},
    "no namespace": {"prefix": "", "space": ""},
    "comma decimals": {"comma": True},
    "percent": {"percent": True},
    "start on the spectrum": {"start_on": "spectrum"},
    "start on the range": {"start_on": "range"},
    "line ends between numbers": {"gap": "\n\t"},
    "no declaration": {"head": ""},
    "declaration after blank lines": {"head": '\n\n<?xml version="1.0" encoding="UTF-8"?>\n'},
    "5 nm": {"waves": FINE},
    "only spectra": {"lab": False},
    "only Lab": {"spectra": False},
    "with a remark": {"head": '<?xml version="1.0"?>\n<!-- a remark -->\n<?note x?>\n'},
}


@pytest.mark.parametrize("name", CXF)
def test_cxf_dialects(name, cxf, measured):
    shape = CXF[name]
    check(
        cxf(**shape),
        measured,
        shape.get("waves"),
        lab=shape.get("lab", True),
        spectra=shape.get("spectra", True),
    )


def test_cxf_bytes(cxf, measured):
    text = cxf()
    check(codecs.BOM_UTF8 + text.encode(), measured)
    check(text.replace("\n", "\r\n").encode(), measured)
    check(cxf(head='<?xml version="1.0" encoding="UTF-16"?>\n').encode("utf-16"), measured)


def test_what_could_be_percent_or_unit_is_asked_for():
    rows = "\n".join(f"A{n} " + " ".join(["0.9"] * 36) for n in range(3))
    columns = "SAMPLE_ID " + " ".join(f"NM{wave}" for wave in range(380, 731, 10))
    text = f"CGATS.17\nBEGIN_DATA_FORMAT\n{columns}\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}\nEND_DATA"
    with pytest.raises(ValueError, match="could be percent or unit"):
        parse_colours(text.encode(), "file")
    unit = parse_colours(text.encode(), "file", Unit.UNIT)
    assert unit.readings[0].spectrum.reflectance[0] == 0.9
    percent = parse_colours(text.encode(), "file", Unit.PERCENT)
    assert percent.readings[0].spectrum.reflectance[0] == 0.009


def test_lab_beside_a_spectrum_settles_its_unit():
    waves = np.arange(380, 731, 10)
    lightness = spectrum_to_lab(waves, np.full(36, 0.9))[0]
    columns = "SAMPLE_ID LAB_L LAB_A LAB_B " + " ".join(f"NM{wave}" for wave in waves)
    text = (
        f"CGATS.17\nBEGIN_DATA_FORMAT\n{columns}\nEND_DATA_FORMAT\nBEGIN_DATA\n"
        f"A1 {lightness:.2f} 0 0 " + " ".join(["0.9"] * 36) + "\nEND_DATA"
    )
    assert parse_colours(text.encode(), "file").readings[0].spectrum.reflectance[0] == 0.9
