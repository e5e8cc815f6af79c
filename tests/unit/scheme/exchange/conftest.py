"""One set of measurements, and the dialects that instruments write it in."""

import numpy as np
import pytest

from livery.colour import spectrum_to_lab
from livery.scheme.exchange import Conditions, MeasurementCondition, Reading
from livery.scheme.model import Spectrum

WAVES = np.arange(380, 731, 10)
NAMES = ("Tarn", "Ember solid", "Chalk", 'Reed "B"')
PEAKS = (450, 640, 560, 530)
WIDE = (40, 60, 400, 45)


def reflectance(index, waves):
    curve = 0.04 + 0.6 * np.exp(-(((waves - PEAKS[index]) / WIDE[index]) ** 2))
    return np.round(curve, 4)


@pytest.fixture(scope="session")
def measured():
    """Four readings with names, rounded spectra and rounded Lab under D50, 2°, M1."""

    def make(waves=WAVES, light="D50"):
        conditions = Conditions(light, 2, MeasurementCondition.M1)
        found = []
        for index, name in enumerate(NAMES):
            values = reflectance(index, waves)
            lab = np.round(spectrum_to_lab(waves, values, light), 2)
            spectrum = Spectrum(np.asarray(waves, dtype=float), values)
            id_ = f"A{index + 1}"
            found.append(Reading(name, id_, tuple(map(float, lab)), spectrum, conditions))
        return tuple(found)

    return make


@pytest.fixture(scope="session")
def cgats(measured):
    """A CGATS text of those readings, in any dialect."""

    def make(
        *,
        lab=True,
        spectra=True,
        prefix="SPECTRAL_DEC",
        percent=False,
        comma=False,
        head=("CGATS.17",),
        conditions='ILLUMINANT "D50"\nOBSERVER "2"\nMEASUREMENT_CONDITION "M1"',
        separator="\t",
        counts=True,
        waves=WAVES,
        light="D50",
        quote=True,
    ):
        readings = measured(waves, light)
        columns = ["SAMPLE_ID", "SAMPLE_NAME"]
        columns += ["LAB_L", "LAB_A", "LAB_B"] if lab else []
        columns += [f"{prefix}{wave:g}" for wave in waves] if spectra else []
        rows = []
        for reading in readings:
            name = reading.name.replace('"', '""')
            row = [reading.id, f'"{name}"' if quote else reading.name]
            row += [f"{value:.2f}" for value in reading.lab] if lab else []
            scaled = [f"{v * 100:.2f}" if percent else f"{v:.4f}" for v in _values(reading)]
            row += scaled if spectra else []
            rows.append(separator.join(row))
        lines = [*head, conditions]
        lines += [f"NUMBER_OF_FIELDS {len(columns)}"] if counts else []
        lines += ["BEGIN_DATA_FORMAT", separator.join(columns), "END_DATA_FORMAT"]
        lines += [f"NUMBER_OF_SETS {len(rows)}"] if counts else []
        lines += ["BEGIN_DATA", *rows, "END_DATA", ""]
        text = "\n".join(lines)
        if comma:
            before, after = text.split("BEGIN_DATA\n")
            text = before + "BEGIN_DATA\n" + after.replace(".", ",")
        return text

    return make


def _values(reading):
    return reading.spectrum.reflectance


@pytest.fixture(scope="session")
def cxf(measured):
    """A CxF file of those readings, in any dialect."""

    def make(
        *,
        prefix="cc:",
        space="http://colorexchangeformat.com/CxF3-core",
        illuminant="D50",
        observer="2_Degree",
        illumination="M1_Daylight",
        lab=True,
        spectra=True,
        percent=False,
        comma=False,
        start_on="both",
        waves=WAVES,
        light="D50",
        head='<?xml version="1.0" encoding="UTF-8"?>\n',
        gap=" ",
    ):
        p = prefix
        name_space = f' xmlns{":" + p[:-1] if p else ""}="{space}"' if space else ""
        out = [f"{head}<{p}CxF{name_space}>", f"<{p}FileInformation><{p}Creator>us</{p}Creator>"]
        out += [f"</{p}FileInformation><{p}Resources><{p}ObjectCollection>"]
        own = f' StartWL="{waves[0]:g}"' if start_on in ("both", "spectrum") else ""
        for reading in measured(waves, light):
            name = reading.name.replace('"', "&quot;")
            out.append(f'<{p}Object ObjectType="Standard" Name="{name}" Id="{reading.id}">')
            out.append(f"<{p}CreationDate>2027-01-18T00:00:00Z</{p}CreationDate><{p}ColorValues>")
            numbers = [f"{v * 100:.2f}" if percent else f"{v:.4f}" for v in _values(reading)]
            labs = [f"{value:.2f}" for value in reading.lab]
            if comma:
                numbers, labs = ([v.replace(".", ",") for v in some] for some in (numbers, labs))
            if spectra:
                out.append(f'<{p}ReflectanceSpectrum ColorSpecification="CS1"{own}>')
                out.append(f"{gap.join(numbers)}</{p}ReflectanceSpectrum>")
            if lab:
                parts = "".join(f"<{p}{k}>{v}</{p}{k}>" for k, v in zip("LAB", labs, strict=True))
                out.append(f'<{p}ColorCIELab ColorSpecification="CS1">{parts}</{p}ColorCIELab>')
            out.append(f"</{p}ColorValues></{p}Object>")
        out.append(f"</{p}ObjectCollection><{p}ColorSpecificationCollection>")
        out.append(f'<{p}ColorSpecification Id="CS1"><{p}TristimulusSpec>')
        out += [f"<{p}Illuminant>{illuminant}</{p}Illuminant>"] if illuminant else []
        out += [f"<{p}Observer>{observer}</{p}Observer>"] if observer else []
        out.append(f"<{p}Method>E308_Table5</{p}Method></{p}TristimulusSpec><{p}MeasurementSpec>")
        out.append(f"<{p}MeasurementType>Spectrum_Reflectance</{p}MeasurementType>")
        first = f' StartWL="{waves[0]:g}"' if start_on in ("both", "range") else ""
        step = f"{waves[1] - waves[0]:g}"
        out.append(f'<{p}WavelengthRange{first} Increment="{step}"/><{p}Device>')
        if illumination:
            out.append(f"<{p}DeviceIllumination>{illumination}</{p}DeviceIllumination>")
        out.append(f"</{p}Device></{p}MeasurementSpec></{p}ColorSpecification>")
        out.append(f"</{p}ColorSpecificationCollection></{p}Resources></{p}CxF>")
        return "\n".join(out)

    return make
