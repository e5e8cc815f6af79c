"""How long grading takes: every size and both hands of the demo, at least 40 placements."""

from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from livery.artwork.decals import DecalMaker
from livery.placement import lay_out
from livery.scheme import load_season

ROOT = Path(__file__).parent.parent.parent
LONGEST_S = 2.0


@pytest.mark.benchmark(group="grading")
def test_the_demo_is_graded_within_two_seconds(benchmark: BenchmarkFixture) -> None:
    season = load_season(ROOT / "artwork_demo" / "season.toml")
    maker = DecalMaker(season.palette)
    layouts = benchmark.pedantic(lay_out, (season, maker), rounds=3, warmup_rounds=1)
    assert sum(len(layout.placements) for layout in layouts if not layout.order) >= 40
    if benchmark.stats is not None:
        assert benchmark.stats.stats.min < LONGEST_S
