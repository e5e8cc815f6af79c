"""Who does the heavy work of the pages: so many at once, in processes of their own or at hand.

Measuring a photograph or drawing a proof holds the interpreter for a second; in the pages' own
process every other visitor would wait for it. Processes of their own let the pages go first.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import connection
from typing import ParamSpec, TypeVar

from livery.errors import OutputError

_P = ParamSpec("_P")
_T = TypeVar("_T")
_TASKS_EACH = 200  # pieces of work a process does before a fresh one follows; workshop choice
_IN_LINE = 24  # may wait; workshop choice
_GIVE_WAY = 10  # niceness of the processes: a page that waits goes first; workshop choice


class Hands:
    """So many at once; others wait in line.

    Args:
        count: how many work at once.
        apart: in processes of their own; otherwise in the thread that asks.
        urgent: everyone waits for it, so that it gives way to nobody; each piece of work is done
            by a fresh process, as it is rare and may take much memory.
    """

    def __init__(self, count: int, *, apart: bool = False, urgent: bool = False) -> None:
        self.count, self._apart, self._urgent = count, apart, urgent
        self._turn = threading.Condition()
        self._line: deque[object] = deque()
        self._busy = 0
        self._lock = threading.Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._closed = False

    @property
    def room(self) -> int:
        """How many may be at it or in line; each holds a thread of who asks."""
        return self.count + _IN_LINE

    def do(self, work: Callable[_P, _T], *args: _P.args, **words: _P.kwargs) -> _T:
        """Do one piece of work and return what comes of it.

        Raises:
            OutputError: too many wait already, or the process that did it was ended from outside.
        """
        with self._hand():
            return self._do(work, *args, **words)

    @contextmanager
    def _hand(self) -> Iterator[None]:
        """A free one, in the order they came: who draws ahead goes to the end of the line again."""
        own = object()
        with self._turn:
            if self._busy + len(self._line) >= self.room:
                told = "Too many are waiting for photographs and proofs. Try again soon."
                raise OutputError(told)
            self._line.append(own)
            self._turn.wait_for(lambda: self._line[0] is own and self._busy < self.count)
            self._line.popleft()
            self._busy += 1
            self._turn.notify_all()
        try:
            yield
        finally:
            with self._turn:
                self._busy -= 1
                self._turn.notify_all()

    def _do(self, work: Callable[_P, _T], *args: _P.args, **words: _P.kwargs) -> _T:
        if not self._apart:
            return work(*args, **words)
        pool = self._crew()
        try:
            return pool.submit(work, *args, **words).result()
        except (BrokenProcessPool, CancelledError) as error:
            self._dismiss(pool)
            told = "The work was ended from outside, for want of memory perhaps. Try again."
            raise OutputError(told) from error

    def close(self) -> None:
        """Take no more work, and let the processes go once they have done what they are at."""
        with self._lock:
            self._closed = True
            if self._pool is not None:
                self._pool.shutdown(wait=False, cancel_futures=True)
                self._pool = None

    def _crew(self) -> ProcessPoolExecutor:
        with self._lock:
            if self._closed:
                raise OutputError("The pages are being stopped. Try again when they are back.")
            if self._pool is None:
                self._pool = ProcessPoolExecutor(
                    self.count,
                    multiprocessing.get_context("spawn"),
                    _begin,
                    (0 if self._urgent else _GIVE_WAY,),
                    max_tasks_per_child=1 if self._urgent else _TASKS_EACH,
                )
            return self._pool

    def _dismiss(self, pool: ProcessPoolExecutor) -> None:
        with self._lock:
            if self._pool is pool:
                pool.shutdown(wait=False, cancel_futures=True)
                self._pool = None


def _begin(niceness: int) -> None:
    """Give way to the pages, and end with them, however they end; Ctrl-C is theirs to answer."""
    if hasattr(os, "nice"):
        os.nice(niceness)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        watch = threading.Thread(target=_follow, args=(parent.sentinel,), daemon=True)
        watch.start()


def _follow(sentinel: int) -> None:
    connection.wait([sentinel])
    os._exit(1)
