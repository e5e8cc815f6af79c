"""Measurements of a bat."""

from __future__ import annotations

from dataclasses import replace

import pytest

from livery.errors import InputError
from livery.kit import build_bat, measure_bat
from livery.scheme.model import BatModel


def test_a_bat_measures_what_its_dimensions_say(model):
    found = measure_bat(build_bat(model, "short-handle"))
    assert found.overall_length_mm == 851.0
    assert found.width_mm == pytest.approx(107.0)
    assert found.depth_mm == 62.0
    assert found.edge_mm == pytest.approx(38.0, abs=1e-6)
    assert found.handle_share == pytest.approx(292 / 851)
    assert found.back_width_mm > found.width_mm


def test_a_bow_makes_no_edge_thicker(model):
    bowed = BatModel(model.key, model.name, model.sizes, (replace(model.dims[0], bow=15.0),))
    assert measure_bat(build_bat(bowed, "short-handle")).edge_mm == 38.0


def test_only_a_bat_is_measured(model):
    item = replace(build_bat(model, "short-handle"), dims=None)
    with pytest.raises(InputError, match="no bat"):
        measure_bat(item)
