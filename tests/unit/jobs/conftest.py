"""A measured card and two simulated photographs of it."""

from pathlib import Path

import pytest
from targets import measured_target

from livery.capture import write_target
from livery.jobs.photograph_tasks import Setting, read_setting
from livery.rehearsal import Camera, Light, Pose, make_scene, render, write_photograph


@pytest.fixture(scope="session")
def card_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The card's file."""
    path = tmp_path_factory.mktemp("target") / "target.toml"
    write_target(measured_target("card"), path)
    return path


@pytest.fixture(scope="session")
def setting(card_file: Path) -> Setting:
    """What photographs of the card are measured with."""
    return read_setting(str(card_file), None, None)


@pytest.fixture(scope="session")
def photographs(setting: Setting, tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Two photographs of the card, tilted."""
    folder, scene = tmp_path_factory.mktemp("photographs"), make_scene(setting.target)
    camera = Camera(width_px=900, height_px=1200)
    return [
        write_photograph(
            render(scene, camera, Light("D50"), Pose(tilt_deg=6.0 * seed), seed),
            folder / f"photo-{seed}",
        )[0]
        for seed in (1, 2)
    ]
