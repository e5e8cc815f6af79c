"""What is converted, refused or asked for, each said; and files that would harm."""

import numpy as np
import pytest

from livery.colour import ciede2000, spectrum_to_lab
from livery.errors import ExchangeError
from livery.scheme.exchange import (
    Conditions,
    MeasurementCondition,
    Unit,
    read_colours,
    settle,
)
from livery.scheme.exchange.reading import parse_colours

M0, M1 = (MeasurementCondition(name) for name in ("M0", "M1"))


def head(light="D50", observer="2", condition="M1"):
    lines = [f'ILLUMINANT "{light}"'] if light else []
    lines += [f'OBSERVER "{observer}"'] if observer else []
    lines += [f'MEASUREMENT_CONDITION "{condition}"'] if condition else []
    return "\n".join(lines)


def settled(text, stated=None, accept=()):
    return settle(parse_colours(text.encode(), "file"), stated or Conditions(), frozenset(accept))


def test_lab_under_d65_is_converted_and_said(cgats, measured):
    found = settled(cgats(spectra=False, light="D65", conditions=head("D65")))
    assert any("D65" in note and "Bradford" in note for note in found.notes)
    for house, wanted in zip(found.readings, measured(), strict=True):
        seen = spectrum_to_lab(
            wanted.spectrum.wavelengths_nm, wanted.spectrum.reflectance, "D65", adapt_to_d50=True
        )
        assert house.lab == pytest.approx(tuple(seen), abs=0.02)
        assert ciede2000(house.lab, wanted.lab) < 5.0


def test_spectra_under_d65_are_reckoned_under_d50_and_said(cgats, measured):
    found = settled(cgats(light="D65", conditions=head("D65")))
    assert any("reckoned under D50" in note for note in found.notes)
    for house, wanted in zip(found.readings, measured(), strict=True):
        assert house.lab == pytest.approx(wanted.lab, abs=0.02)


@pytest.mark.parametrize(
    ("conditions", "words"),
    [
        (head("A"), "Lab under A"),
        (head("FL11"), "Lab under FL11"),
        (head(observer="10"), "10° observer"),
        (head(condition="M0"), "measured under M0"),
        (head(condition="M2"), "measured under M2"),
        (head() + '\nPOLARIZATION "yes"', "two measurement conditions"),
        (head() + '\nMEASUREMENT_SOURCE "Illumination=D65"', "two illuminants"),
        (head() + '\nOBSERVER_ANGLE "10"', "two observers"),
        (head("D40"), "no light of CIE"),
        (head(observer="7"), "not CIE"),
        (head(light=""), "under which light"),
        (head(observer=""), "for which observer"),
        (head(condition=""), "ISO 13655"),
    ],
)
def test_conditions_are_checked_never_assumed(cgats, conditions, words):
    with pytest.raises(ExchangeError, match=words):
        settled(cgats(spectra=False, conditions=conditions))


def test_the_user_may_state_what_a_file_leaves_out(cgats, measured):
    text = cgats(spectra=False, conditions="")
    found = settled(text, Conditions("D50", 2, M1))
    assert [one.lab for one in found.readings] == [one.lab for one in measured()]
    assert sum("on your word" in note for note in found.notes) == 3
    with pytest.raises(ExchangeError, match="the file says D65, you say D50"):
        settled(cgats(spectra=False, conditions=head("D65")), Conditions("D50"))


def test_another_measurement_condition_may_be_accepted_and_is_said(cgats):
    found = settled(cgats(conditions=head(condition="M0")), accept=[M0])
    assert any("measured under M0" in note for note in found.notes)
    with pytest.raises(ExchangeError, match="M2"):
        settled(cgats(conditions=head(condition="M2")), accept=[M0])


def test_lab_that_its_spectrum_belies_is_refused(cgats, cxf):
    for text in (cgats(), cxf()):
        lightness = f"{parse_colours(text.encode(), 'file').readings[1].lab[0]:.2f}"
        assert text.count(lightness) == 1
        wrong = text.replace(lightness, f"{float(lightness) + 9:.2f}")
        with pytest.raises(ExchangeError, match="CIEDE2000 apart under D50") as caught:
            settled(wrong)
        assert caught.value.faults[0].place == "Ember solid"


def test_every_reason_is_given_at_once(cgats):
    with pytest.raises(ExchangeError) as caught:
        settled(cgats(spectra=False, conditions=""))
    assert len(caught.value.faults) == 3


CUT = {
    "BEGIN_DATA is not closed": lambda text: text.replace("END_DATA\n", ""),
    "NUMBER_OF_SETS says": lambda text: text.replace("NUMBER_OF_SETS 4", "NUMBER_OF_SETS 5"),
    "NUMBER_OF_FIELDS says": lambda text: text.replace("FIELDS 41", "FIELDS 40"),
    "marks no section": lambda text: text.replace("END_DATA_FORMAT", "END_DATA_FROMAT"),
    "only part of LAB": lambda text: text.replace("LAB_A", "LAB_X"),
    "stands 2 times": lambda text: text.replace("LAB_A", "LAB_B"),
    "even steps": lambda text: text.replace("DEC380", "DEC385"),
    "is not a number": lambda text: text.replace("0.0400", "0.04oo", 1),
    "mixed": lambda text: text.replace("0.0400", "0,0400", 1),
    "values for 41 columns": lambda text: text.replace("\t0.0400", "", 1),
    "a reflectance of 400 cannot be unit": lambda text: text.replace("0.0400", "400.0", 1),
}


@pytest.mark.parametrize("words", CUT)
def test_damage_is_named(words, cgats):
    damaged = CUT[words](cgats())
    assert damaged != cgats()
    with pytest.raises(ExchangeError, match=words):
        parse_colours(damaged.encode(), "file")


def test_faults_say_the_line(cgats):
    text = cgats().replace("0.0400", "nan", 1)
    line = next(n for n, row in enumerate(text.split("\n"), start=1) if "nan" in row)
    with pytest.raises(ExchangeError) as caught:
        parse_colours(text.encode(), "file")
    assert caught.value.faults[0].line == line


@pytest.mark.parametrize(
    "head",
    ['<!DOCTYPE CxF [<!ENTITY a "b">]>', '<!DOCTYPE CxF SYSTEM "file:///etc/passwd">'],
)
def test_a_good_file_that_declares_a_document_type_is_refused(cxf, head):
    with pytest.raises(ExchangeError, match="document type declaration"):
        parse_colours(cxf(head=head).encode(), "file")


@pytest.mark.parametrize(
    "text",
    [
        "<CxF><unclosed></CxF>",
        "<svg/>",
        "<CxF/>",
        '<CxF xmlns="http://example.org/other"/>',
        "<",
    ],
)
def test_xml_that_is_broken_or_something_else_is_refused(text):
    with pytest.raises(ExchangeError):
        parse_colours(text.encode(), "file")


def test_an_expanding_entity_costs_nothing():
    levels = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10 if n else "x" * 10}">' for n in range(12))
    bomb = f"<?xml version='1.0'?><!DOCTYPE c [{levels}]><CxF>&a11;</CxF>"
    with pytest.raises(ExchangeError):
        parse_colours(bomb.encode(), "file")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (('Increment="10"', ""), "at which wavelengths"),
        (('Increment="10"', 'Increment="11"'), "leave out part|even|CIEDE2000"),
        (
            (
                'ReflectanceSpectrum ColorSpecification="CS1"',
                'ReflectanceSpectrum ColorSpecification="CS2"',
            ),
            "CS2",
        ),
        (("<cc:L>", "<cc:LL>"), "XML"),
        (("2_Degree", "3_Degree"), "not CIE"),
        (("<cc:A>", "<cc:A>1 "), "not a number"),
        (('StartWL="380"', 'StartWL="390"'), "starts at 390 nm|starts at 380"),
    ],
)
def test_damaged_cxf_is_refused(cxf, change, words):
    text = cxf()
    damaged = text.replace(*change, 1) if "Start" in change[0] else text.replace(*change)
    assert damaged != text
    with pytest.raises(ExchangeError, match=words):
        settled(damaged)


def test_conditions_of_cxf_are_checked(cxf):
    for changed, words in (
        ({"illumination": "M0_Incandescent"}, "measured under M0"),
        ({"illumination": ""}, "ISO 13655"),
        ({"illumination": "M1_Daylight", "illuminant": "", "spectra": False}, "which light"),
        ({"observer": "10_Degree", "spectra": False}, "10° observer"),
        ({"illuminant": "A", "spectra": False}, "Lab under A"),
    ):
        with pytest.raises(ExchangeError, match=words):
            settled(cxf(**changed))
    found = settled(cxf(illuminant="D65", light="D65"))
    assert any("reckoned under D50" in note for note in found.notes)


def test_files_that_are_no_colour_files(tmp_path):
    for name, data in (
        ("empty", b""),
        ("zeros", bytes(64)),
        ("words", b"hello\nworld"),
        ("picture", b"\x89PNG\r\n\x1a\n" + bytes(range(256))),
        (
            "no data",
            b"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nEND_DATA_FORMAT\nBEGIN_DATA\nEND_DATA",
        ),
    ):
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(ExchangeError) as caught:
            read_colours(path)
        assert caught.value.faults[0].file == str(path)
    for path in (tmp_path, tmp_path / "absent"):
        with pytest.raises(ExchangeError):
            read_colours(path)


def test_a_stated_unit_that_cannot_be_is_refused(cgats):
    with pytest.raises(ExchangeError, match="both"):
        parse_colours(cgats().encode(), "file", Unit.PERCENT)
    text = cgats(percent=True, prefix="NM")
    with pytest.raises(ExchangeError, match="cannot be unit"):
        parse_colours(text.encode(), "file", Unit.UNIT)


def test_readings_are_found_by_name_or_identifier(cgats):
    found = settled(cgats())
    assert found.find("ember SOLID").id == "A2"
    assert found.find(" a3 ").name == "Chalk"
    assert found.find("nobody") is None
    assert np.isfinite(found.find("A1").lab).all()
