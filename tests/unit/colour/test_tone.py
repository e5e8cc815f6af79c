"""Tone values of tints."""

import numpy as np
import pytest

from livery.colour import WHITE_D50, lab_to_xyz
from livery.colour.tone import spot_tone_value
from livery.errors import ColourError

STOCK, SOLID = (95.0, 0.0, -2.0), (56.0, 56.0, 50.0)


def test_ends():
    assert spot_tone_value(STOCK, SOLID, STOCK) == pytest.approx(0.0)
    assert spot_tone_value(SOLID, SOLID, STOCK) == pytest.approx(1.0)


def test_for_a_neutral_it_is_the_share_of_lightness():
    share = spot_tone_value((60.0, 0, 0), (20.0, 0, 0), (100.0, 0, 0))
    assert share == pytest.approx(0.5)


def test_against_the_formula_in_xyz():
    generator = np.random.default_rng(2)
    tint, solid, stock = generator.uniform((10, -50, -50), (95, 50, 50), (3, 40, 3))

    def v(lab):
        ratio = lab_to_xyz(lab) / np.array(WHITE_D50)
        cube = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio * 841 / 108 + 4 / 29)
        return 116 * cube - 16

    expected = np.sqrt(
        ((v(stock) - v(tint)) ** 2).sum(axis=1) / ((v(stock) - v(solid)) ** 2).sum(axis=1)
    )
    assert spot_tone_value(tint, solid, stock) == pytest.approx(expected, abs=1e-9)


def test_a_solid_that_is_the_stock_is_refused():
    with pytest.raises(ColourError, match="one colour"):
        spot_tone_value(STOCK, STOCK, STOCK)
