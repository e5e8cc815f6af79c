"""A whole season built at 100, 1,000 and 10,000 decals: what a decal costs must not grow.

The largest takes minutes: set ``LIVERY_LARGEST=1`` to have it too.
"""

import os
from itertools import pairwise
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from season_scale import Taken, build, write_season

MOST_GROWTH = 1.25  # of a further decal's cost, from one step to the next; workshop choice
MOST_MB = 600.0
SCALES = (100, 400, 1000, *([10_000] if os.environ.get("LIVERY_LARGEST") else []))


@pytest.mark.benchmark(group="a season built")
def test_a_decal_costs_the_same_in_a_large_season(
    benchmark: BenchmarkFixture, tmp_path: Path
) -> None:
    seasons = {scale: write_season(tmp_path / str(scale), scale) for scale in SCALES}
    taken = [_build(seasons[scale]) for scale in SCALES[:-1]]
    taken.append(benchmark.pedantic(_build, (seasons[SCALES[-1]],), rounds=1))
    steps = [
        (large.cpu_s - small.cpu_s) / (large.decals - small.decals)
        for small, large in pairwise(taken)
    ]
    for one in taken:
        told = f"{one.decals} decals: {one.wall_s:.0f} s, {one.cpu_s:.0f} s of work"
        held = f"{one.peak_mb:.0f} MB, {one.resident_mb:.0f} MB with shared pages counted in each"
        print(f"{told}, {1000 * one.cpu_s / one.decals:.0f} ms each, {held}")
    benchmark.extra_info.update(peer="a smaller season's decal", bar=MOST_GROWTH)
    benchmark.extra_info.update(ratio=steps[-1] / steps[0], peak_mb=taken[-1].peak_mb)
    assert steps[-1] <= MOST_GROWTH * steps[0]
    assert max(one.peak_mb for one in taken) <= MOST_MB


@pytest.mark.benchmark(group="2,000 decals built")
def test_two_thousand_decals_are_built_within_a_minute(
    benchmark: BenchmarkFixture, tmp_path: Path
) -> None:
    taken = benchmark.pedantic(_build, (write_season(tmp_path, 2000),), rounds=1)
    benchmark.extra_info.update(peer="a minute", bar=1.0, ratio=taken.wall_s / 60.0)
    benchmark.extra_info.update(peak_mb=taken.peak_mb, resident_mb=taken.resident_mb)
    assert taken.peak_mb <= MOST_MB


def _build(season: Path) -> Taken:
    return build(season, season.parent / "out", "--jobs", "2")
