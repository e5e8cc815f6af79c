"""Any readings, written in either form, come back as they were."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

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

WAVES = np.arange(380.0, 731.0, 10.0)
words = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cn", "Zl", "Zp", "Co")),
    min_size=1,
    max_size=20,
).map(lambda text: " ".join(text.split()) or "x")
labs = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))
# Bright enough that a file of nothing but these cannot be percent.
curves = st.lists(st.floats(0.001, 0.15), min_size=36, max_size=36)
conditions = st.builds(
    Conditions,
    st.sampled_from(("D50", "D65", "A", "FL11")),
    st.sampled_from((2, 10)),
    st.sampled_from(tuple(MeasurementCondition)),
)


@st.composite
def readings(draw):
    what = draw(st.sampled_from(("lab", "spectra", "both")))
    shared = draw(conditions)
    found = []
    for number in range(draw(st.integers(1, 4))):
        spectrum = Spectrum(WAVES, np.array(draw(curves))) if what != "lab" else None
        lab = draw(labs) if what != "spectra" else None
        found.append(Reading(draw(words), f"{number}", lab, spectrum, shared))
    return found


@given(readings())
def test_either_form_keeps_every_digit(batch):
    for data in (render_cgats(batch).encode(), render_cxf(batch)):
        again = parse_colours(data, "file").readings
        assert [(r.name, r.id, r.lab, r.conditions) for r in again] == [
            (r.name, r.id, r.lab, r.conditions) for r in batch
        ]
        for one, other in zip(again, batch, strict=True):
            if other.spectrum is not None:
                assert one.spectrum.reflectance.tolist() == other.spectrum.reflectance.tolist()


@given(st.binary(max_size=300))
def test_no_bytes_do_worse_than_an_error(data):
    for prefix in (b"", b"CGATS.17\nBEGIN_DATA_FORMAT\n", b"<CxF>"):
        try:
            parse_colours(prefix + data, "file")
        except ExchangeError as error:
            assert all(fault.found and fault.mend for fault in error.faults)
