"""From a photograph's file to verdicts, beside a bare decode of the same file.

Memory is given back before each, as in a process that opens one photograph: other benches leave
some to the process, and a decode that finds it there takes two thirds of the time.
"""

import statistics
import time
from pathlib import Path

import cv2
import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from targets import measured_target

from livery.capture import measure
from livery.capture.model import Patch, Region
from livery.crew.memory import give_back
from livery.jobs.photographs import compare_in_season
from livery.match.model import Comparison
from livery.rehearsal import Camera, Light, Pose, make_scene, render
from livery.scheme import load_season

ROOT = Path(__file__).parents[2]
ROUNDS = 5
AT_MOST = 3.0  # times a bare decode
SPOTS = 6


@pytest.mark.benchmark(group="photograph to verdict")
def test_twelve_megapixels(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    season = load_season(ROOT / "artwork_demo" / "season.toml")
    target = measured_target("chart", season.palette)
    scene = make_scene(target)
    shot = render(scene, Camera(width_px=4000, height_px=3000), Light("D50"), Pose(tilt_deg=8.0))
    path = tmp_path / f"shot{shot.suffix}"
    path.write_bytes(shot.data)
    ink = season.palette.inks[0].key
    regions = tuple(
        Region(f"bat {n}", ink, "bat", polygon_mm=_middle(patch))
        for n, patch in enumerate(target.patches[:SPOTS])
    )

    def judge() -> tuple[Comparison, ...]:
        return compare_in_season(season, [measure(path, target, regions)])

    def decode() -> float:
        give_back()
        start = time.perf_counter()
        picture = cv2.imdecode(np.frombuffer(path.read_bytes(), np.uint8), cv2.IMREAD_COLOR)
        assert picture.shape[:2] == (3000, 4000)
        return time.perf_counter() - start

    theirs = statistics.median(decode() for _ in range(ROUNDS))
    found = benchmark.pedantic(judge, setup=give_back, rounds=ROUNDS, warmup_rounds=1)
    assert found
    benchmark.extra_info.update(peer="bare decode", peer_s=theirs, bar=AT_MOST)


def _middle(patch: Patch) -> np.ndarray:
    """The middle half of a patch."""
    low = np.array([patch.x_mm + patch.w_mm / 4, patch.y_mm + patch.h_mm / 4])
    return low + np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) * (patch.w_mm / 2, patch.h_mm / 2)
