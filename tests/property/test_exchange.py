"""Any readings, written in either form, come back as they were."""

from hypothesis import given
from hypothesis import strategies as st
from strategies import readings

from livery.errors import ExchangeError
from livery.scheme.exchange import render_cgats, render_cxf
from livery.scheme.exchange.reading import parse_colours


@given(readings())
def test_either_form_keeps_every_digit(batch):
    for data in (render_cgats(batch).encode(), render_cxf(batch)):
        again = parse_colours(data, "file").readings
        assert [(r.name, r.id, r.lab, r.conditions) for r in again] == [
            (r.name, r.id, r.lab, r.conditions) for r in batch
        ]
        for one, other in zip(again, batch, strict=True):
            assert (one.spectrum is None) == (other.spectrum is None)
            if other.spectrum is not None:
                assert one.spectrum.reflectance.tolist() == other.spectrum.reflectance.tolist()


@given(st.binary(max_size=300))
def test_no_bytes_do_worse_than_an_error(data):
    for prefix in (b"", b"CGATS.17\nBEGIN_DATA_FORMAT\n", b"<CxF>"):
        try:
            parse_colours(prefix + data, "file")
        except ExchangeError as error:
            assert all(fault.found and fault.mend for fault in error.faults)
