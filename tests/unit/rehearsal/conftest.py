import numpy as np
import pytest
from rasters import lab_of_codes

from livery.capture.model import Marker, Patch, Target
from livery.rehearsal import Material, box_ring, make_scene, region

COLOURS = [
    (40, 44, 50),
    (90, 90, 90),
    (160, 160, 160),
    (215, 214, 212),
    (180, 60, 50),
    (40, 90, 150),
]


@pytest.fixture(scope="session")
def target():
    markers = tuple(
        Marker("DICT_APRILTAG_36h11", i, x, y, 12.0)
        for i, (x, y) in enumerate([(12, 12), (108, 12), (108, 78), (12, 78)])
    )
    patches = tuple(
        Patch(f"p{i}", 24.0 + 13.0 * i, 8.0, 10.0, 10.0, tuple(map(float, lab)), True)
        for i, lab in enumerate(lab_of_codes(np.array(COLOURS)))
    )
    return Target("small", 120.0, 90.0, markers, patches)


@pytest.fixture(scope="session")
def scene(target):
    regions = [
        region(
            "glove", box_ring(30, 28, 90, 70), (80, 2, 8), item="gloves", material=Material.LEATHER
        ),
        region("badge", box_ring(40, 36, 70, 60), (45, 48, 35), ink="ember", item="gloves"),
    ]
    return make_scene(target, under=regions, window_mm=(30.0, 28.0, 90.0, 70.0))
