"""One seam, whoever works: the same results in the same order, and the same failures."""

import os
import signal
import subprocess
import sys
import time
from multiprocessing import active_children
from pathlib import Path

import pytest
from work import die, die_once, divide, double, refuse, whose

from livery.crew import Alone, Crew, Task, do_each, find_crew
from livery.crew.cores import Cores
from livery.errors import CrewError, SeasonError

CREWS = [Alone(), Cores(2)]
LONG = """
import sys, time
from livery.crew import Task, do_each
from livery.crew.cores import Cores
if __name__ == "__main__":
    tasks = [Task("print", print, (f"{n}",)) for n in range(2)]
    tasks += [Task("sleep", time.sleep, (60,)) for _ in range(4)]
    def told(stage, done, total):
        if done == 2:
            print("begun", flush=True)
    try:
        list(do_each(tasks, crew=Cores(2), watch=told))
    except KeyboardInterrupt:
        sys.exit(130)
"""


@pytest.mark.parametrize("crew", CREWS)
def test_results_keep_their_order_and_progress_is_told(crew: Crew) -> None:
    seen: list[tuple[str, int, int]] = []
    tasks = [Task(f"double {k}", double, (k,)) for k in range(40)]
    results = list(
        do_each(tasks, crew=crew, stage="doubling", watch=lambda *told: seen.append(told))
    )
    assert results == [2 * k for k in range(40)]
    assert seen == [("doubling", k, 40) for k in range(41)]


@pytest.mark.parametrize("crew", CREWS)
def test_the_first_failure_is_raised_with_all_it_says(crew: Crew) -> None:
    tasks = [Task("a", double, (1,)), Task("b", refuse, ("x.toml",)), Task("c", divide, (1, 0))]
    with pytest.raises(SeasonError) as caught:
        list(do_each(tasks, crew=crew))
    assert [fault.line for fault in caught.value.faults] == [3]
    with pytest.raises(ZeroDivisionError):
        list(do_each([Task("c", divide, (1, 0))] * 2, crew=crew))


def test_nothing_to_do_is_done_and_one_task_needs_no_other_process() -> None:
    assert list(do_each([], crew=Cores(4))) == []
    assert list(do_each([Task("whose", whose)], crew=Cores(4))) == [os.getpid()]
    assert os.getpid() not in list(do_each([Task("whose", whose)] * 2, crew=Cores(2)))


def test_a_worker_that_dies_costs_no_result(tmp_path: Path) -> None:
    tasks = [Task(f"double {k}", double, (k,)) for k in range(6)]
    tasks[1:1] = [
        Task("one", die_once, (tmp_path / "1",)),
        Task("two", die_once, (tmp_path / "2",)),
    ]
    assert list(do_each(tasks, crew=Cores(2))) == [0, "done", "done", 2, 4, 6, 8, 10]
    assert not active_children()


def test_a_task_that_always_ends_its_worker_is_named() -> None:
    tasks = [Task("double", double, (1,)), Task("sheet 3", die), Task("double", double, (2,))]
    with pytest.raises(CrewError, match=r"^sheet 3: its worker ended 3 times"):
        list(do_each(tasks, crew=Cores(2)))
    assert not active_children()


def test_what_is_not_waited_for_is_ended() -> None:
    results = do_each([Task("sleep", time.sleep, (s,)) for s in (0, 60, 60)], crew=Cores(2))
    next(results)
    results.close()
    assert not active_children()


@pytest.mark.parametrize(("end", "code"), [(signal.SIGINT, 130), (signal.SIGKILL, -9)])
def test_workers_end_with_the_process_that_began_them(
    tmp_path: Path, end: signal.Signals, code: int
) -> None:
    script = tmp_path / "long.py"
    script.write_text(LONG)
    child = subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        start_new_session=True,
    )  # fmt: skip
    assert child.stdout is not None
    while child.stdout.readline() != "begun\n":
        assert child.poll() is None
    if end == signal.SIGINT:
        os.killpg(child.pid, end)  # as a terminal does: to all of them
    else:
        child.kill()
    said = child.communicate(timeout=60)[1]  # ends when the last worker has let go of it
    assert child.returncode == code
    assert "Traceback" not in said


def test_flags_choose_a_crew() -> None:
    assert find_crew() == Alone()
    assert find_crew(3) == Cores(3)
