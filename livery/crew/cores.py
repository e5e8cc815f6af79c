"""A crew of processes on this machine.

A worker that dies (killed, out of memory) costs no result: what it had in hand is done again. A
task that ends its worker each time it is tried, alone, is named.
"""

from __future__ import annotations

import atexit
import gc
import os
import signal
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from multiprocessing import active_children, get_all_start_methods, get_context, parent_process
from multiprocessing.context import BaseContext
from multiprocessing.process import BaseProcess
from typing import Any, TypeVar

from livery.crew.parcels import Packer, Parcel
from livery.crew.tasks import Alone, Task
from livery.errors import CrewError

T = TypeVar("T")

ALONE_TRIES = 2  # of a task whose worker died, with no other in hand; workshop choice
_AHEAD = 32  # tasks in hand for each worker: their results wait for a slow one; workshop choice


@dataclass(frozen=True, slots=True)
class Cores:
    """Processes on this machine.

    Attributes:
        jobs: how many; no more are started than there are tasks.
    """

    jobs: int

    def expect(self, *calls: Callable[..., object]) -> None:
        """See ``Crew``."""
        if _find_context(_modules_of(calls)).get_start_method() == "forkserver":
            from multiprocessing import forkserver, resource_tracker

            resource_tracker.ensure_running()  # it would let Ctrl-C through again on its way
            with _without_interrupts():
                forkserver.ensure_running()

    def work(self, tasks: Sequence[Task[T]]) -> Generator[T, None, None]:
        """See ``Crew``."""
        jobs = min(self.jobs, len(tasks))
        if jobs <= 1:
            yield from Alone().work(tasks)
            return
        with _Pool(jobs, _modules_of([task.call for task in tasks])) as pool:
            yield from _in_order(pool, tasks, _AHEAD * jobs)


def _in_order(pool: _Pool, tasks: Sequence[Task[T]], ahead: int) -> Iterator[T]:
    coming = iter(tasks)
    waiting: deque[tuple[Task[T], Future[T]]] = deque()

    def fill() -> None:
        while len(waiting) < ahead and (task := next(coming, None)) is not None:
            waiting.append((task, pool.submit(task)))

    fill()
    while waiting:
        task, future = waiting[0]
        try:
            result = future.result()
        except BrokenProcessPool:
            result = _try_alone(pool, task)
            # What was done stands; what was in hand when the worker died is begun again.
            waiting.popleft()
            for place, (other, had) in enumerate(waiting):
                if _is_lost(had):
                    waiting[place] = (other, pool.submit(other))
        else:
            waiting.popleft()
        fill()
        yield result


def _try_alone(pool: _Pool, task: Task[T]) -> T:
    for _ in range(ALONE_TRIES):
        pool.renew()
        try:
            return pool.submit(task).result()
        except BrokenProcessPool:
            continue
    raise CrewError(
        f"{task.name}: its worker ended {ALONE_TRIES + 1} times without a result. The machine may "
        "be short of memory: try again with fewer --jobs."
    )


def _is_lost(future: Future[T]) -> bool:
    if future.cancelled() or not future.done():
        return True
    return isinstance(future.exception(), BrokenProcessPool)


def _modules_of(calls: Sequence[Callable[..., object]]) -> list[str]:
    """What tasks import: their calls' modules, and the libraries that these name."""
    own = sorted({call.__module__ for call in calls})
    named = [getattr(sys.modules.get(name), "LIBRARIES", ()) for name in own]
    return [*own, *dict.fromkeys(library for libraries in named for library in libraries)]


class _Pool:
    """Worker processes that are gone when the block ends, however it ends.

    Args:
        jobs: how many.
        modules: what they are to have imported.
    """

    def __init__(self, jobs: int, modules: list[str]) -> None:
        self._jobs = jobs
        self._context = _find_context(modules)
        self._packer = Packer()
        self._before: list[BaseProcess] = []
        self._pool = self._start()

    def __enter__(self) -> _Pool:
        return self

    def __exit__(self, kind: object, error: object, traceback: object) -> None:
        if kind is not None:
            self._end()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def submit(self, task: Task[T]) -> Future[T]:
        """Begin a task. Workers never see Ctrl-C: this process ends them."""
        with _without_interrupts():
            try:
                return self._pool.submit(Parcel(task, self._packer))
            except BrokenProcessPool as error:
                broken: Future[T] = Future()
                broken.set_exception(error)
                return broken

    def renew(self) -> None:
        """Begin with new workers."""
        self._end()
        self._pool.shutdown(wait=True, cancel_futures=True)
        self._pool = self._start()

    def _start(self) -> ProcessPoolExecutor:
        self._before = active_children()
        return ProcessPoolExecutor(self._jobs, mp_context=self._context, initializer=_begin)

    def _end(self) -> None:
        for child in active_children():
            if child not in self._before:
                child.terminate()


def _find_context(modules: list[str]) -> BaseContext:
    """How workers begin: never as forks of this process, whose threads might hold a lock.

    Where it can be, they are forks of a process that has no threads and has imported what they
    need, so that they share its memory; else each is a fresh interpreter.
    """
    if "forkserver" not in get_all_start_methods():
        return get_context("spawn")
    _end_nursery_at_exit()
    context = get_context("forkserver")
    context.set_forkserver_preload(modules)
    return context


@cache
def _end_nursery_at_exit() -> None:
    """Wait for the process that workers are forks of, so that what they took is accounted for."""
    from multiprocessing import forkserver

    atexit.register(forkserver._forkserver._stop)  # type: ignore[attr-defined] # not told


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """Children begun inside inherit that Ctrl-C is held back; here it comes a moment later."""
    mask: Callable[..., Any] | None = getattr(signal, "pthread_sigmask", None)
    if mask is None:
        yield
        return
    held = mask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        mask(signal.SIG_SETMASK, held)


def _begin() -> None:
    """A worker leaves what it shares as it is, and ends when its parent is gone, even killed."""
    gc.freeze()
    parent = parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)
