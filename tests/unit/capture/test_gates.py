"""Advice says what to mend, and lists no more names than can be read."""

import pytest

from livery.capture.gates import clipping_gate, region_lab_gate, spots_gate


@pytest.mark.parametrize("gate_of", [clipping_gate, spots_gate])
def test_names_that_are_left_off_are_told(gate_of):
    names = [f"A{number}" for number in range(1, 14)]
    assert "A12, ..." in gate_of(names, 20).advice
    assert "A12. " in gate_of(names[:12], 20).advice


@pytest.mark.parametrize("lab", [(106.0, 0.0, 0.0), (-3.0, 0.0, 0.0), (50.0, 100.0, 100.0)])
def test_a_colour_that_no_surface_has_is_told_with_its_place(lab):
    gate = region_lab_gate("badge", lab, " (at 9, 8 mm)")
    assert not gate.ok
    assert gate.advice.startswith("badge (at 9, 8 mm) reads L*")
