"""Ten thousand captures judged again, beside reading the same JSON bare."""

import json
import os
import resource
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from archive import captures, enter, write_files

from livery.crew import find_crew
from livery.jobs.rejudged import Held, Terms
from livery.jobs.rejudging import judge_batch, judge_files, judge_records
from livery.match import item_names
from livery.match.model import Comparison
from livery.records.store import Store
from livery.scheme import load_season
from livery.scheme.model import Scheme

COUNT = int(os.environ.get("LIVERY_BENCH_CAPTURES", "10000"))
SCHEME = load_season(Path(__file__).parents[2] / "artwork_demo" / "season.toml")


def stricter(scheme: Scheme, share: float = 0.8) -> Scheme:
    """Every tolerance tightened, so that nothing can be taken over."""
    inks = tuple(replace(i, tolerance_de00=i.tolerance_de00 * share) for i in scheme.palette.inks)
    old = scheme.tolerances
    pairs = tuple(replace(p, tolerance_de00=p.tolerance_de00 * share) for p in old.pairs)
    tolerances = replace(old, default=old.default * share, pairs=pairs, inks=(), finishes=())
    return replace(scheme, palette=replace(scheme.palette, inks=inks), tolerances=tolerances)


def one_ink(scheme: Scheme) -> Scheme:
    """One ink's tolerance tightened."""
    first, *rest = scheme.palette.inks
    return replace(
        scheme,
        palette=replace(scheme.palette, inks=(replace(first, tolerance_de00=1.0), *rest)),
    )


@pytest.fixture(scope="module")
def texts() -> list[str]:
    return list(captures(SCHEME.palette, COUNT))


@pytest.fixture(scope="module")
def files(texts: list[str], tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    return write_files(tmp_path_factory.mktemp("captures"), iter(texts))


@pytest.fixture(scope="module")
def store(texts: list[str], tmp_path_factory: pytest.TempPathFactory) -> Store:
    """All captures with today's verdicts."""
    opened = Store(tmp_path_factory.mktemp("season") / "records")
    terms = Terms(SCHEME.palette, SCHEME.tolerances, item_names(SCHEME), SCHEME.item_titles)
    for start in range(0, COUNT, 100):
        batch = [Held(str(n), texts[n]) for n in range(start, min(start + 100, COUNT))]
        for judged in judge_batch(terms, batch):
            verdicts = tuple(
                Comparison(r.ink, r.a, r.b, r.de00, 0.0, 0.0, r.tolerance, r.verdict, "")
                for r in judged.rulings
            )
            enter(opened, int(judged.name), texts[int(judged.name)], verdicts)
    yield opened
    opened.close()


def bare(files: tuple[Path, ...]) -> float:
    start = time.perf_counter()
    for path in files:
        json.loads(path.read_bytes())
    return time.perf_counter() - start


def _worked() -> float:
    """Processor time of this process and those that have ended, s."""
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(u.ru_utime + u.ru_stime for u in map(resource.getrusage, kinds))


@pytest.mark.parametrize("what", ["files", "records, every tolerance", "records, one ink's"])
def test_an_archive_judged_again(what: str, files, store, benchmark) -> None:
    crew = find_crew(2)
    runs: dict[str, Callable[[], object]] = {
        "files": lambda: judge_files(SCHEME, files, crew=crew),
        "records, every tolerance": lambda: judge_records(stricter(SCHEME), store, crew=crew),
        "records, one ink's": lambda: judge_records(one_ink(SCHEME), store, crew=crew),
    }
    floor = bare(files)
    before, worked = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, _worked()
    count = benchmark.pedantic(
        lambda: sum(bool(one.rulings) for one in runs[what]()), rounds=1, iterations=1
    )
    grew = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
    assert count == COUNT
    seconds = benchmark.stats.stats.median
    benchmark.extra_info |= {
        "captures": COUNT,
        "seconds of work, of all processes": round(_worked() - worked, 1),
        "times reading the JSON bare": round(seconds / floor, 1),
        "grew, MB": round(grew / 1024, 1),
    }
    print(what, f"{seconds:.1f} s", benchmark.extra_info)
    assert grew < 200 * 1024  # kB; the texts alone are larger than a batch by far
