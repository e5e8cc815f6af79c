"""Camera models are drawn to likely cameras, and mended near their patches, where that helps."""

from dataclasses import replace

import numpy as np
import pytest
from camera_prior import likely
from dyed_things import dyed_things, labs

from livery.capture.colour_fit import fit_form, mend_nearby
from livery.capture.colour_model import Form, Patches, parameter_slopes, predict_lab, predict_xyz
from livery.colour import ciede2000, lab_to_xyz, read_table
from livery.rehearsal.sensor import camera_rgb, colour_matrix, rendition_patches

FORM = Form(shade=0, veil=0, curve=False, roots=False)
TO_CAMERA = np.array([[0.7, 0.2, 0.1], [0.2, 0.7, 0.1], [0.05, 0.15, 0.8]])


def _colours(seed, count):
    random = np.random.default_rng(seed)
    return np.column_stack([random.uniform(30, 80, count), random.uniform(-30, 30, (count, 2))])


def _bent(lab):
    """What a camera sees that errs alike on like colours, which no matrix can undo."""
    turn = np.sin(lab[:, 1] / 14.0) + np.cos(lab[:, 2] / 14.0)
    return lab_to_xyz(lab) @ TO_CAMERA.T * (1.0 + 0.04 * turn)[:, None]


def _patches(lab, rgb):
    return Patches(rgb, np.zeros((len(lab), 2)), lab, np.ones(len(lab)))


def test_errors_that_like_colours_share_are_mended():
    lab, unseen = _colours(1, 90), _colours(2, 60)
    patches = _patches(lab, _bent(lab))
    plain = fit_form(FORM, patches)
    mended = mend_nearby(plain, patches)
    errors = [
        ciede2000(predict_lab(fit, _bent(unseen), np.zeros((60, 2))), unseen).mean()
        for fit in (plain, mended)
    ]
    assert mended.residuals is not None
    assert mended.loo_de00.mean() < 0.8 * plain.loo_de00.mean()
    assert errors[1] < 0.8 * errors[0]


def test_errors_that_are_each_patchs_own_are_left_alone():
    lab = _colours(3, 24)
    noise = np.random.default_rng(5).normal(0.0, 0.02, (24, 3))
    patches = _patches(lab, lab_to_xyz(lab) @ TO_CAMERA.T * (1.0 + noise))
    plain = fit_form(FORM, patches)
    mended = mend_nearby(plain, patches)
    assert mended is plain


@pytest.mark.parametrize("roots", [False, True])
@pytest.mark.parametrize(("shade", "veil", "curve"), [(0, 0, False), (1, 1, True), (2, 3, True)])
def test_slopes_are_those_of_small_steps(roots, shade, veil, curve):
    form = Form(shade, veil, curve, roots)
    random = np.random.default_rng(6)
    rgb, place = random.uniform(0.05, 0.9, (7, 3)), random.uniform(-1, 1, (7, 2))
    values = random.normal(0.0, 0.02, form.warps + 3 * (6 if roots else 3))
    values[form.warps :] += 0.4

    def xyz(parameters):
        warp, matrix = parameters[: form.warps], parameters[form.warps :].reshape(3, -1)
        fit = replace(BLANK, form=form, warp=warp, matrix=matrix)
        return predict_xyz(fit, rgb, place)

    steps = np.eye(len(values)) * 1e-6
    stepped = np.stack([(xyz(values + s) - xyz(values - s)) / 2e-6 for s in steps], axis=2)
    matrix = values[form.warps :].reshape(3, -1)
    slopes = parameter_slopes(form, values[: form.warps], matrix, rgb, place)
    assert np.abs(slopes - stepped).max() < 1e-6


BLANK = fit_form(FORM, _patches(_colours(1, 30), lab_to_xyz(_colours(1, 30)) @ TO_CAMERA.T))


def test_the_packaged_likely_matrix_is_what_its_maker_makes():
    _, table = read_table("cameras", "likely")
    mean, cov = likely()
    assert np.abs(table[:, 0] - mean).max() < 1e-5
    assert np.abs(table[:, 1:] - cov).max() < 1e-5 * np.abs(cov).max()


ROOTS = Form(shade=0, veil=0, curve=False, roots=True)
LIGHTS = ("D50", "D65", "LED-B3", "FL11", "A")


def _errors(sensor, light, makers_matrix, readable):
    """On dyed things beside the chart, held to what is likely and free; mean ΔE00."""
    chart, things = (rendition_patches(), dyed_things(5, 120))
    shown, beside = (camera_rgb(s, sensor, light) @ makers_matrix.T for s in (chart, things))
    places, errors = np.zeros((len(things), 2)), []
    for seed in range(3):
        lab = labs(chart) + np.random.default_rng(seed).normal(0.0, 0.5, (24, 3))
        count = len(readable)
        patches = Patches(
            shown[readable], places[:count], lab[readable], np.ones(count), lab_sd=0.5
        )
        for one in (patches, replace(patches, weight=np.full(count, 1e9))):
            found = predict_lab(fit_form(ROOTS, one), beside, places)
            errors.append(ciede2000(found, labs(things)).mean())
    return np.reshape(errors, (-1, 2)).mean(axis=0)


@pytest.mark.parametrize("sensor", ["nikon-5100", "sigma-sdmerill"])
def test_where_few_patches_can_be_read_likely_cameras_help(sensor):
    few = np.sort(np.random.default_rng(1).permutation(24)[:14])
    matrix = colour_matrix(sensor)
    held, free = np.mean([_errors(sensor, light, matrix, few) for light in LIGHTS], axis=0)
    assert held < 0.993 * free


@pytest.mark.parametrize("sensor", ["nikon-5100", "sigma-sdmerill"])
def test_a_camera_unlike_the_likely_ones_is_let_go(sensor):
    """A camera's own channels, as RAW files hold them, are no sRGB."""
    for light in LIGHTS:
        held, free = _errors(sensor, light, np.eye(3), np.arange(24))
        assert held < 1.005 * free
