"""How long the command line takes to say what it can do, beside Python that does nothing."""

import statistics
import subprocess
import sys
import time

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

ROUNDS = 9
AT_MOST = 6.0  # times a bare start; workshop choice
HELP = (sys.executable, "-m", "livery", "--help")
PEERS = {
    "python -c pass": (sys.executable, "-c", "pass"),
    "import typer": (sys.executable, "-c", "import typer"),
}


def _run(words: tuple[str, ...]) -> None:
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL)


def _seconds(words: tuple[str, ...]) -> float:
    start = time.perf_counter()
    _run(words)
    return time.perf_counter() - start


@pytest.mark.benchmark(group="cold start")
@pytest.mark.parametrize("peer", list(PEERS))
def test_help(peer: str, benchmark: BenchmarkFixture) -> None:
    theirs = statistics.median(_seconds(PEERS[peer]) for _ in range(ROUNDS))
    benchmark.pedantic(_run, (HELP,), rounds=ROUNDS, warmup_rounds=1)
    benchmark.extra_info.update(peer=peer, peer_s=theirs, bar=AT_MOST)
    assert benchmark.stats.stats.median <= AT_MOST * theirs
