"""FOGRA39L: all 1,617 measured patches of the press condition (D50/2°, ISO 13655), against the
packaged profile in the absolute intent. Notice and licence: data/FOGRA39L.LICENSE.txt.
"""

from pathlib import Path

import numpy as np
import pytest

from livery.colour import ciede2000, press_profile

# The profile's own fit to its data, not rounding, decides these: found 0.145, 0.310, 0.590.
MEAN, NINETY_FIVE, LARGEST = 0.16, 0.33, 0.60


@pytest.fixture(scope="module")
def patches():
    path = Path(__file__).parent / "data" / "FOGRA39L.ti3"
    body = path.read_text(encoding="ascii").split("\nBEGIN_DATA\n")[1].split("\nEND_DATA")[0]
    rows = np.array([[float(cell) for cell in row.split()] for row in body.splitlines() if row])
    return rows[:, 1:5] / 100.0, rows[:, 8:11]


def test_no_patch_is_missing(patches):
    assert patches[0].shape == (1617, 4)


def test_profile_gives_the_measured_colours(patches):
    cmyk, lab = patches
    errors = ciede2000(press_profile("FOGRA39L").cmyk_to_lab(cmyk), lab)
    assert errors.mean() <= MEAN
    assert np.percentile(errors, 95) <= NINETY_FIVE
    assert errors.max() <= LARGEST


def test_builds_found_for_measured_colours_print_them(patches):
    cmyk, lab = patches
    press = press_profile("FOGRA39L")
    for index in range(0, len(cmyk), 79):
        build, left = press.lab_to_cmyk(lab[index], black=cmyk[index, 3])
        assert left <= LARGEST, (
            index
        )  # the patch's own build prints it as nearly as the profile can
        assert build[3] == cmyk[index, 3]
        assert ciede2000(press.cmyk_to_lab(build), lab[index]) == pytest.approx(left, abs=1e-9)
