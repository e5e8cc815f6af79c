from dataclasses import replace
from itertools import product

import numpy as np
import pytest
import shapely
from picture_seeds import presses

from livery.colour import ciede2000, gamut_slice, press_profile, read_press_profile
from livery.errors import ColourError


@pytest.fixture(scope="module")
def press():
    return press_profile("FOGRA39L")


def test_relative_bare_stock_is_white_and_absolute_is_the_paper(press):
    np.testing.assert_allclose(press.cmyk_to_lab(np.zeros(4), relative=True), [100, 0, 0], atol=0.1)
    np.testing.assert_allclose(press.cmyk_to_lab(np.zeros(4)), [95.0, 0.0, -2.0], atol=0.3)


def test_shapes_are_kept(press):
    assert press.cmyk_to_lab(np.full((2, 5, 4), 0.3)).shape == (2, 5, 3)
    assert press.cmyk_to_lab(np.empty((0, 4))).shape == (0, 3)


def test_more_ink_is_darker(press):
    ramp = np.linspace(0.0, 1.0, 50)[:, None] * np.array([[1.0, 1.0, 1.0, 0.0]])
    lightness = press.cmyk_to_lab(ramp)[:, 0]
    assert (np.diff(lightness) < 0.05).all()
    assert lightness[0] - lightness[-1] > 60.0


def test_a_printable_colour_comes_back(press):
    for build in ([0.6, 0.1, 0.3, 0.0], [0.05, 0.7, 0.9, 0.0], [0.3, 0.25, 0.25, 0.4]):
        lab = press.cmyk_to_lab(build)
        found, left = press.lab_to_cmyk(lab, black=build[3])
        assert left <= 0.01
        assert found[3] == build[3]
        assert float(ciede2000(press.cmyk_to_lab(found), lab)) == pytest.approx(left, abs=1e-9)


def test_ink_in_all_is_bounded(press):
    free, near = press.lab_to_cmyk([18.0, 0.0, -1.0], black=0.2)
    bounded, less = press.lab_to_cmyk([18.0, 0.0, -1.0], black=0.2, most=2.4)
    assert free.sum() > 2.5
    assert bounded.sum() <= 2.4 + 1e-9
    assert less > near
    with pytest.raises(ColourError, match="all ink"):
        press.lab_to_cmyk([18.0, 0.0, -1.0], black=0.9, most=0.5)


def test_a_slice_of_the_gamut_holds_what_prints_and_nothing_else(press):
    edge = shapely.Polygon(gamut_slice(press, 55.0, 3.0))
    for build in ([0.0, 0.7, 0.8, 0.0], [0.7, 0.2, 0.1, 0.1], [0.5, 0.0, 0.9, 0.2]):
        lab = press.cmyk_to_lab(build)
        assert (
            shapely.Polygon(gamut_slice(press, lab[0], 3.0))
            .buffer(0.5)
            .contains(shapely.Point(lab[1:]))
        )
    for angle in np.radians([20, 80, 150, 260]):
        toward = np.array([np.cos(angle), np.sin(angle)])
        reach = max(
            r for r in np.arange(0.0, 120.0, 0.5) if edge.contains(shapely.Point(toward * r))
        )
        inside, outside = (
            min(press.lab_to_cmyk([55.0, *toward * (reach + d)], black=k)[1] for k in (0, 0.2, 0.4))
            for d in (-4, 4)
        )
        assert inside < 0.3 < outside
    assert len(gamut_slice(press, 99.0)) == 0


@pytest.mark.parametrize(("black", "most"), [(0.0, 4.0), (0.3, 2.4), (0.8, 2.0)])
def test_no_build_on_an_even_grid_is_nearer_than_what_is_found(press, black, most):
    chance = np.random.default_rng(11)
    aims = chance.uniform((5.0, -80.0, -80.0), (97.0, 80.0, 100.0), (12, 3))
    steps = np.linspace(0.0, 1.0, 21)
    inks = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    inks = inks[inks.sum(axis=1) <= most - black + 1e-9]
    grid = press.cmyk_to_lab(np.column_stack([inks, np.full(len(inks), black)]))
    for aim in aims:
        build, off = press.lab_to_cmyk(aim, black, most)
        assert off <= ciede2000(aim, grid).min() + 0.001
        assert off == pytest.approx(float(ciede2000(aim, press.cmyk_to_lab(build))), abs=1e-9)
        assert build[3] == black and build.sum() <= most + 1e-9


def test_a_profile_that_is_all_but_flat_is_not_searched_for_ever(monkeypatch):
    flat = read_press_profile("flat", presses()[1])
    inputs = np.array([[0.0, 1.0], [0.627, 0.0], [1.0, 0.0], [1.0, 0.0]])
    outputs = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 0.0]])  # one lightness for all
    flat = replace(flat, table=replace(flat.table, inputs=inputs, outputs=outputs))
    calls = []
    monkeypatch.setattr(
        "livery.colour.press.ciede2000", lambda a, b: calls.append(1) or ciede2000(a, b)
    )
    aim = (50.0, 10.0, -20.0)
    inks, off = flat.lab_to_cmyk(aim)
    assert inks.min() >= 0.0 and inks.max() <= 1.0
    corners = flat.cmyk_to_lab(list(product((0.0, 1.0), repeat=4)))
    assert off == pytest.approx(float(ciede2000(aim, flat.cmyk_to_lab(inks))))
    assert off <= ciede2000(aim, corners).min() + 0.001
    assert 0 < len(calls) < 1000


def test_numbers_and_profiles_that_do_not_serve_are_refused(press):
    with pytest.raises(ColourError, match="Four inks"):
        press.cmyk_to_lab([0.1, 0.2, 0.3])
    with pytest.raises(ColourError, match="outside 0"):
        press.cmyk_to_lab([0.1, 0.2, 0.3, 40.0])
    with pytest.raises(ColourError, match="FOGRA39L"):
        press_profile("unheard-of")
    with pytest.raises(ColourError, match="past its end"):
        read_press_profile("cut", press.data[:50_000])
    with pytest.raises(ColourError, match="CMYK to Lab"):
        read_press_profile("turned", press.data[:16] + b"RGB " + press.data[20:])
