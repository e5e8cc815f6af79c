"""Two real photographs of the 24-patch rendition chart.

From the documentation of colour-checker-detection 0.2.3 (BSD 3-Clause, Copyright the Colour
Developers); reference values as published with colour-science.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from colour_science import colour

from livery.capture import measure, rendition_24
from livery.colour import spectrum_to_lab
from livery.rehearsal import rendition_patches

PHOTOS = Path(__file__).parent / "data" / "photos"
CORNERS = json.loads((PHOTOS / "corners.json").read_text("utf-8"))
# Largest mean leave-one-out ΔE00, over the patches that are not clipped.
EXPECTED = {"chart_warm_light.png": 2.6, "chart_window_light.png": 2.1}


@pytest.mark.parametrize("name", sorted(CORNERS))
@pytest.mark.parametrize("by_hand", [True, False], ids=["corners given", "found"])
def test_the_camera_is_characterised_on_a_real_photograph(name, by_hand):
    corners = CORNERS[name]["corners_px"]
    capture = measure(PHOTOS / name, rendition_24(), corners=corners if by_hand else None)
    assert capture.characterisation.loo_mean <= EXPECTED[name]
    assert capture.ok
    assert capture.absolute
    assert np.abs(capture.corners_px - corners).max() < 6.0


def test_clipped_patches_are_named_and_left_out():
    capture = measure(PHOTOS / "chart_warm_light.png", rendition_24())
    clipped = {patch.name for patch in capture.trace.patches if patch.clipped}
    assert {"white 9.5", "orange yellow", "yellow"} <= clipped
    assert all((patch.de00 is None) == patch.clipped for patch in capture.trace.patches)
    advice = next(gate.advice for gate in capture.gates if gate.gate == "clipping")
    assert all(name in advice for name in clipped)


@pytest.mark.parametrize(
    ("key", "edition", "half_digit"),
    [
        ("rendition-24", "ColorChecker24 - After November 2014", 0.005),
        ("rendition-24-older", "ColorChecker24 - Before November 2014", 0.0005),
    ],
)
def test_the_chart_holds_the_published_values(key, edition, half_digit):
    published = colour.CCS_COLOURCHECKERS[edition]
    patches = rendition_24(key).patches
    assert len(patches) == len(published.data) == 24
    for patch, (name, xyy) in zip(patches, published.data.items(), strict=True):
        lab = colour.XYZ_to_Lab(colour.xyY_to_XYZ(xyy), published.illuminant)
        assert name.split(" (")[0] == patch.name
        assert np.abs(lab - patch.lab).max() <= half_digit + 5e-8


def test_published_values_are_as_far_off_real_charts_as_their_doubt_says():
    true = np.stack([_lab(spectrum) for spectrum in rendition_patches()])
    off = {
        key: np.array([patch.lab for patch in rendition_24(key).patches]) - true
        for key in ("rendition-24", "rendition-24-older")
    }
    assert np.sqrt((off["rendition-24-older"] ** 2).mean()) == pytest.approx(0.5, abs=0.05)
    assert np.sqrt((off["rendition-24"] ** 2).mean()) > 0.7


def _lab(spectrum):
    return spectrum_to_lab(spectrum.wavelengths_nm, spectrum.reflectance, "D50")
