"""Simulated photographs, whose truth is known, measured end to end."""

import numpy as np
import pytest

from livery.capture import make_target, measure, rendition_24, with_measured
from livery.capture.model import Region
from livery.capture.target_layout import TargetKind, form_of
from livery.colour import ciede2000
from livery.rehearsal import (
    Camera,
    Light,
    Pose,
    box_ring,
    make_scene,
    region,
    render,
    rendition_patches,
)
from livery.scheme.model import Finish, Ink, Palette

INKS = {"tarn": (38.0, -14.0, -22.0), "ember": (57.0, 46.0, 44.0), "reed": (66.0, -6.0, 36.0)}
PALETTE = Palette(
    "reedlight",
    "Reedlight",
    tuple(Ink(key, key, lab, Finish.MATT, 2.0) for key, lab in INKS.items()),
    "invented",
)


def _errors(scene, target, camera, light, pose, tmp_path, corners=False):
    photo = render(scene, camera, light, pose, 5)
    path = tmp_path / f"photo{photo.suffix}"
    path.write_bytes(photo.data)
    values = {p.name: t.lab for p, t in zip(target.patches, photo.truth.patches, strict=True)}
    regions = [Region(r.name, r.ink, r.item, r.rings_mm[0]) for r in photo.truth.regions]
    given = photo.truth.corners_px if corners else None
    capture = measure(path, with_measured(target, values), regions, given)
    assert capture.ok, [gate for gate in capture.gates if not gate.ok]
    away = [
        float(ciede2000(sample.lab, true.lab))
        for sample, true in zip(capture.samples, photo.truth.regions, strict=True)
    ]
    assert np.abs(capture.corners_px - photo.truth.corners_px).max() < 1.5
    return np.array(away)


@pytest.mark.parametrize(
    ("light", "pose", "size"),
    [
        (Light("D50"), Pose(), (1200, 900)),
        (Light("D65", uneven=0.3), Pose(tilt_deg=30, roll_deg=100), (1200, 900)),
        (Light("LED-B3", uneven=0.15), Pose(turn_deg=-30, roll_deg=185), (900, 1200)),
    ],
)
def test_a_card_reads_the_seasons_inks(tmp_path, light, pose, size):
    target, _ = make_target("card", PALETTE)
    x0, y0, _, _ = window = form_of(TargetKind.CARD).window_mm
    laid = [
        region(key, box_ring(x0 + 2 + 22 * i, y0 + 4, x0 + 20 + 22 * i, y0 + 30), lab, item="glove")
        for i, (key, lab) in enumerate(INKS.items())
    ]
    scene = make_scene(target, under=laid, window_mm=window)
    camera = Camera(width_px=size[0], height_px=size[1], veil=0.01, exposure=0.8, quality=90)
    errors = _errors(scene, target, camera, light, pose, tmp_path)
    assert errors.mean() < 0.7


def test_the_rendition_chart_reads_colours_beside_it(tmp_path):
    target = rendition_24()
    laid = [
        region(key, box_ring(10 + 50 * i, 190, 50 + 50 * i, 220), lab)
        for i, (key, lab) in enumerate(INKS.items())
    ]
    scene = make_scene(target, over=laid, patches=rendition_patches(), paper=(22.0, 0.0, 0.0))
    camera = Camera(width_px=1200, height_px=1000, exposure=0.8)
    errors = _errors(scene, target, camera, Light("D65"), Pose(tilt_deg=15), tmp_path, corners=True)
    assert errors.mean() < 2.0
