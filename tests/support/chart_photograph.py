"""A simulated photograph of the measured chart with pieces of kit in some inks beside it."""

from collections.abc import Iterable
from pathlib import Path

import numpy as np
from targets import measured_target

from livery.capture import write_target
from livery.colour import WAVELENGTHS_NM, spectrum_for_lab
from livery.rehearsal import (
    Camera,
    Light,
    Material,
    Pose,
    SceneRegion,
    make_scene,
    render,
    write_photograph,
)
from livery.scheme import load_season
from livery.scheme.model import Spectrum

PIECES = (
    ("sedge-gloves", "tarn", -60.0, 10.0),
    ("sedge-gloves", "ember", -60.0, 60.0),
    ("sedge-pads", "tarn", 20.0, -60.0),
    ("sedge-pads", "ember", 80.0, -60.0),
)
"""Item, ink, and where its corner lies, mm."""


def chart_photograph(
    season: Path,
    folder: Path,
    pieces: Iterable[tuple[str, str, float, float]],
    camera: Camera,
    light: Light | None = None,
    pose: Pose | None = None,
) -> tuple[Path, Path]:
    """The photograph ``kit`` in a folder and its truth; the chart's file lies beside them."""
    palette = load_season(season).palette
    target = measured_target("chart", palette)
    write_target(target, folder / "chart.toml")
    regions = []
    for item, ink, x, y in pieces:
        ring = np.array([[x, y], [x + 40, y], [x + 40, y + 40], [x, y + 40]])
        spectrum = Spectrum(WAVELENGTHS_NM, spectrum_for_lab(palette.ink(ink).lab))
        regions.append(SceneRegion(f"{item} {ink}", ink, item, (ring,), spectrum, Material.SMOOTH))
    picture = render(make_scene(target, over=regions), camera, light, pose, seed=7)
    return write_photograph(picture, folder / "kit")
