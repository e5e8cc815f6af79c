"""Benchmarks run only when asked for: ``pytest tests/bench --benchmark-only -n0``."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_collection_modifyitems(config, items):
    if config.getoption("benchmark_only"):
        return
    asked = pytest.mark.skip(reason="a benchmark; run with --benchmark-only -n0")
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(asked)
