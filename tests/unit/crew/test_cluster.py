"""A real Dask cluster on this machine: the same results, dead workers survived, clear refusals."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from folders import files_of
from small_season import SmallSeason
from work import die, die_once, double, refuse, whose

from livery.crew import Alone, Task, do_each, find_crew
from livery.crew import cluster as room
from livery.crew.cluster import Cluster
from livery.errors import CrewError, SeasonError
from livery.jobs.rebuilding import build_season

pytestmark = pytest.mark.filterwarnings("default")  # the cluster's libraries have their own


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """The scheduler's, of a cluster of two worker processes."""
    import dask
    from distributed import LocalCluster

    settings = {"distributed.scheduler.allowed-failures": 1}
    with (
        dask.config.set(settings),
        LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            processes=True,
            host="127.0.0.1",
            dashboard_address="127.0.0.1:0",
        ) as cluster,
    ):
        yield cluster.scheduler_address


def test_results_keep_their_order_and_progress_is_told(address: str) -> None:
    seen: list[tuple[str, int, int]] = []
    tasks = [Task(f"double {k}", double, (k,)) for k in range(30)]
    crew = find_crew(8, address)
    results = list(
        do_each(tasks, crew=crew, stage="doubling", watch=lambda *told: seen.append(told))
    )
    assert results == [2 * k for k in range(30)]
    assert seen == [("doubling", k, 30) for k in range(31)]
    assert os.getpid() not in list(do_each([Task("whose", whose)] * 4, crew=crew))
    assert list(do_each([], crew=crew)) == []


def test_the_first_failure_is_raised_with_all_it_says(address: str) -> None:
    tasks = [Task("a", double, (1,)), Task("b", refuse, ("x.toml",)), Task("c", refuse, ("y",))]
    with pytest.raises(SeasonError, match=r"^x.toml:3: found. mend$"):
        list(do_each(tasks, crew=Cluster(address)))


def test_what_is_large_travels_both_ways(address: str) -> None:
    photograph = bytes(range(256)) * 80_000
    (back,) = list(do_each([Task("photograph", bytes.upper, (photograph,))], crew=Cluster(address)))
    assert back == photograph.upper()


def test_a_season_built_on_a_cluster_is_the_same(address: str, tmp_path: Path) -> None:
    season = SmallSeason().write(tmp_path / "season")
    for name, crew in (("here", Alone()), ("cluster", Cluster(address))):
        build_season(season, tmp_path / name, crew=crew)
    here = files_of(tmp_path / "here")
    assert len(here) > 20
    assert files_of(tmp_path / "cluster") == here


def test_a_worker_that_dies_costs_no_result(address: str, tmp_path: Path) -> None:
    tasks = [Task("once", die_once, (tmp_path / "1",))]
    tasks += [Task(f"double {k}", double, (k,)) for k in range(8)]
    assert list(do_each(tasks, crew=Cluster(address))) == ["done", *(2 * k for k in range(8))]


def test_a_task_that_always_ends_its_worker_is_named(address: str) -> None:
    with pytest.raises(CrewError, match=r"^sheet 3: the workers it was given to ended"):
        list(do_each([Task("sheet 3", die)], crew=Cluster(address)))
    assert list(do_each([Task("after", double, (4,))], crew=Cluster(address))) == [8]


def test_work_left_off_is_taken_back(address: str) -> None:
    results = do_each([Task(f"{k}", double, (k,)) for k in range(20)], crew=Cluster(address))
    assert next(results) == 0
    results.close()
    assert list(do_each([Task("after", double, (4,))], crew=Cluster(address))) == [8]


def test_a_worker_of_other_code_is_refused(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "code_fingerprint", lambda: "other")
    with pytest.raises(CrewError, match="another livery"):
        list(do_each([Task("a", double, (1,))], crew=Cluster(address)))


def test_a_cluster_without_workers_is_not_waited_for_endlessly(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from distributed import LocalCluster

    monkeypatch.setattr(room, "LONGEST_WITHOUT_WORKERS_S", 1.5)
    with LocalCluster(n_workers=0, host="127.0.0.1", dashboard_address="127.0.0.1:0") as cluster:
        crew = Cluster(cluster.scheduler_address)
        with pytest.raises(CrewError, match="has had no workers for"):
            list(do_each([Task("sheet 1", double, (1,))], crew=crew))


def test_no_scheduler_at_an_address_is_one_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "CONNECT_S", 0.5)
    with pytest.raises(CrewError, match=r"no scheduler answers at tcp://127.0.0.1:9 .*Start one"):
        list(do_each([Task("a", double, (1,))], crew=Cluster("tcp://127.0.0.1:9")))


@pytest.mark.parametrize(
    "text",
    [
        "127.0.0.1:8786",
        "http://127.0.0.1:8786",
        "inproc://x:1",
        "ucx://h:1",
        "tcp://h",
        "tcp://:80",
        "tcp://h:0",
        "tcp://h:99999",
        "tcp://h:x",
        "tcp://u:p@h:1",
        "tcp://h:1/x",
        "tcp://h:1?x",
        "tcp://[h:1",
        "file:///etc/passwd",
        "tcp",
    ],
)
def test_what_is_no_address_is_refused(text: str) -> None:
    with pytest.raises(CrewError, match=r"is no scheduler's address. Give tcp://HOST:PORT"):
        find_crew(1, text)


def test_without_the_library_the_mend_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(room, "find_spec", lambda name: None)
    with pytest.raises(CrewError, match=r"pip install 'livery\[cluster\]'"):
        find_crew(1, "tls://h:8786")
