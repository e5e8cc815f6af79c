import numpy as np
import pytest

from livery.rehearsal import Camera, Pose
from livery.rehearsal.optics import take_view

FRAME = (-10.0, -20.0, 190.0, 130.0)
POSES = [Pose(), Pose(tilt_deg=35.0, roll_deg=80.0), Pose(tilt_deg=-20.0, turn_deg=30.0)]
POINTS = np.random.default_rng(1).uniform([-10, -20], [190, 130], (200, 2))


@pytest.mark.parametrize("pose", POSES)
@pytest.mark.parametrize("distortion", [0.0, -0.08, 0.05])
def test_pixels_and_millimetres_come_back(pose, distortion):
    view = take_view(FRAME, Camera(distortion=distortion), pose)
    np.testing.assert_allclose(view.to_mm(view.to_px(POINTS)), POINTS, atol=1e-7)


@pytest.mark.parametrize("pose", POSES)
def test_the_frame_is_centred_and_fills_its_share(pose):
    view = take_view(FRAME, Camera(), pose)
    x0, y0, x1, y1 = FRAME
    corners = view.to_px(np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]))
    extent = (corners.max(axis=0) - corners.min(axis=0)) / (4000.0, 3000.0)
    assert extent.max() == pytest.approx(pose.fill, abs=1e-3)
    middle = (corners.max(axis=0) + corners.min(axis=0)) / 2.0
    np.testing.assert_allclose(middle, [1999.5, 1499.5], atol=0.5)


def test_an_upright_view_has_one_scale():
    view = take_view(FRAME, Camera(), Pose())
    scales = [view.scale_at(np.array(p)) for p in [(0.0, 0.0), (180.0, 120.0)]]
    assert scales[0] == pytest.approx(scales[1], rel=1e-9)


def test_barrel_distortion_draws_the_corners_in():
    point = np.array([[190.0, 130.0]])
    centre = np.array([1999.5, 1499.5])
    plain, barrel = (
        np.hypot(*(take_view(FRAME, Camera(distortion=d), Pose()).to_px(point)[0] - centre))
        for d in (0.0, -0.05)
    )
    assert 0.94 < barrel / plain < 0.99


def test_a_mirrored_view_turns_left_to_right():
    across = np.array([[50.0, 50.0], [60.0, 50.0]])
    plain = take_view(FRAME, Camera(), Pose()).to_px(across)
    mirrored = take_view(FRAME, Camera(), Pose(mirrored=True)).to_px(across)
    assert plain[1, 0] > plain[0, 0]
    assert mirrored[1, 0] < mirrored[0, 0]
