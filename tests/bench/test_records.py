"""Twenty benches at once: two thousand captures, none lost, none doubled, no long wait."""

import hashlib
import statistics
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from postgres import new_database, postgres

from livery.match.model import Comparison, Verdict
from livery.records.history import Occasion, read_captures, read_outcomes, save_capture
from livery.records.store import Store

__all__ = ["postgres"]

CLIENTS, EACH = 20, 100
SAMPLES = [
    {"name": f"s{n}", "item": "bat", "ink": "tarn", "lab": [50.0, n, 1.0], "cov": [[1.0] * 3] * 3}
    for n in range(10)
]
GATES = [{"gate": "focus", "ok": True}]
VERDICTS = [
    Comparison("tarn", "aim", "bat", 1.0, 0.2, 0.99, 2.0, Verdict.PASS, "Inside.")
    for _ in range(10)
]


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    url = None
    if request.param == "postgresql":
        url = new_database(request.getfixturevalue("postgres"))
    opened = Store(tmp_path / "records", url)
    yield opened
    opened.close()


def _bench(store: Store, bench: int) -> list[float]:
    waits = []
    for number in range(EACH):
        name = f"bat {bench} {number}"
        photo = b"\xff\xd8\xff" + hashlib.sha256(name.encode()).digest() * 6000
        occasion = Occasion(name, f"bench {bench}", "", "2027-01-20")
        capture = {"samples": SAMPLES, "gates": GATES, "of": name}
        for _ in range(2 if number % 10 == 0 else 1):  # some are sent twice
            start = time.perf_counter()
            save_capture(store, photo, "x.jpg", capture, VERDICTS, occasion)
            waits.append(time.perf_counter() - start)
        if number % 20 == 0:
            start = time.perf_counter()
            read_outcomes(store)
            waits.append(time.perf_counter() - start)
    return waits


def _twenty_benches(store: Store) -> list[float]:
    with ThreadPoolExecutor(CLIENTS) as pool:
        each = pool.map(lambda bench: _bench(store, bench), range(CLIENTS))
        return sorted(wait for own in each for wait in own)


def test_twenty_benches_lose_and_double_nothing(store: Store, benchmark) -> None:
    waits = benchmark.pedantic(_twenty_benches, args=(store,), rounds=1, iterations=1)
    names = [row["bat"] for row in read_captures(store)]
    assert sorted(names) == sorted(f"bat {b} {n}" for b in range(CLIENTS) for n in range(EACH))
    assert store.verify() == ()
    benchmark.extra_info["half within, ms"] = round(statistics.median(waits) * 1000)
    benchmark.extra_info["95 % within, ms"] = round(waits[int(len(waits) * 0.95)] * 1000)
    print(benchmark.extra_info)
