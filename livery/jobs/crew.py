"""The one seam for parallel work: the same tasks in this process or over several."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import TypeVar

T = TypeVar("T")

Watch = Callable[[str, int, int], None]
"""Told the stage, how much of it is done, and how much there is."""


def unwatched(stage: str, done: int, total: int) -> None:
    """Nobody is looking."""


def do_all(
    tasks: Sequence[Callable[[], T]], *, jobs: int = 1, stage: str = "", watch: Watch = unwatched
) -> list[T]:
    """Run every task and keep their results in order.

    Args:
        tasks: independent, picklable calls (``functools.partial`` of module functions).
        jobs: processes; 1 works in this one.
        stage: what to tell ``watch``.
        watch: told of each task as it ends.

    Raises:
        LiveryError: whatever a task raised first; the tasks not yet begun are dropped.
    """
    watch(stage, 0, len(tasks))
    results: list[T] = []
    for result in _results(tasks, min(jobs, len(tasks))):
        results.append(result)
        watch(stage, len(results), len(tasks))
    return results


def _results(tasks: Sequence[Callable[[], T]], jobs: int) -> Iterator[T]:
    if jobs <= 1:
        yield from (task() for task in tasks)
        return
    # A fresh interpreter a worker: forking under the progress display's thread may deadlock.
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        futures = [pool.submit(task) for task in tasks]
        try:
            yield from (future.result() for future in futures)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
