"""The one seam for parallel work: tasks, and the crew that does them.

A task is a module's function and what it is to be given: small values that can be pickled. It
returns bytes or small values and writes no file, so that a worker needs no disk of ours; only the
calling process writes. A crew is a value that says who works; whoever does, the results are the
same and come in the order of the tasks.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

T = TypeVar("T")

Watch = Callable[[str, int, int], None]
"""Told the stage, how much of it is done, and how much there is."""


def unwatched(stage: str, done: int, total: int) -> None:
    """Nobody is looking."""


@dataclass(frozen=True, slots=True, eq=False)
class Task(Generic[T]):
    """One independent piece of work.

    Attributes:
        name: what people call it, should it fail: ``sheet 3``.
        call: a module's function; it reads nothing but what it is given and what is packaged. Its
            module may name, as ``LIBRARIES``, what it imports only when it is first needed.
        given: what it is called with; can be pickled.
    """

    name: str
    call: Callable[..., T]
    given: tuple[Any, ...] = ()

    def __call__(self) -> T:
        """Do it here and now."""
        return self.call(*self.given)


class Crew(Protocol):
    """Who works."""

    def expect(self, *calls: Callable[..., object]) -> None:
        """Let workers make ready for tasks of these calls while this process goes on."""

    def work(self, tasks: Sequence[Task[T]]) -> Generator[T, None, None]:
        """Results in the order of the tasks, each as soon as it and all before it are there.

        Closing the iterator ends the work and leaves no worker of ours behind.

        Raises:
            LiveryError: what the first of the tasks to fail raised.
            CrewError: the work cannot be done where it was sent.
        """


@dataclass(frozen=True, slots=True)
class Alone:
    """This process."""

    def expect(self, *calls: Callable[..., object]) -> None:
        """See ``Crew``."""

    def work(self, tasks: Sequence[Task[T]]) -> Generator[T, None, None]:
        """See ``Crew``."""
        for task in tasks:
            yield task()


def find_crew(jobs: int = 1, cluster: str = "") -> Crew:
    """The crew that the command line's flags ask for.

    Args:
        jobs: processes on this machine; 1 works in this one.
        cluster: a Dask scheduler's address; counts before ``jobs``.

    Raises:
        CrewError: the address cannot be one, or what a cluster needs is not installed.
    """
    if cluster:
        from livery.crew.cluster import Cluster

        return Cluster(cluster)
    if jobs > 1:
        from livery.crew.cores import Cores

        return Cores(jobs)
    return Alone()


def do_each(
    tasks: Sequence[Task[T]], *, crew: Crew | None = None, stage: str = "", watch: Watch = unwatched
) -> Generator[T, None, None]:
    """Have every task done; results come in order, and none is kept here.

    Args:
        tasks: independent of one another.
        crew: who works; this process unless given.
        stage: what to tell ``watch``.
        watch: told of each task as it ends.

    Raises:
        LiveryError: as ``Crew.work``; the tasks not yet begun are dropped.
    """
    watch(stage, 0, len(tasks))
    with closing((crew or Alone()).work(tasks)) as results:
        for number, result in enumerate(results, start=1):
            watch(stage, number, len(tasks))
            yield result
