"""Two real photographs of the 24-patch rendition chart.

From the documentation of colour-checker-detection 0.2.3 (BSD 3-Clause, Copyright the Colour
Developers); reference values as published with colour-science.
"""

import json
import warnings
from pathlib import Path

import numpy as np
import pytest

from livery.capture import measure, rendition_24

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


def test_the_chart_holds_the_published_values():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    published = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    patches = rendition_24().patches
    assert len(patches) == len(published.data) == 24
    for patch, (name, xyy) in zip(patches, published.data.items(), strict=True):
        lab = colour.XYZ_to_Lab(colour.xyY_to_XYZ(xyy), published.illuminant)
        assert name.split(" (")[0] == patch.name
        assert np.abs(lab - patch.lab).max() <= 0.0050001
