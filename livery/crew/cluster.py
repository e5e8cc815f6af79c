"""A crew of workers on other machines: a Dask cluster, by its scheduler's address.

Whoever reaches a scheduler can run code on its workers, and they on what they are sent: a cluster
belongs on a network of your own.
"""

from __future__ import annotations

import logging
import threading
import time
import warnings
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Any, TypeVar
from urllib.parse import urlsplit

from livery.crew.fingerprint import code_fingerprint
from livery.crew.parcels import Packer, unpack
from livery.crew.tasks import Task
from livery.errors import CrewError

T = TypeVar("T")

CONNECT_S = 10.0  # this and what follows: workshop choices
LONGEST_WITHOUT_WORKERS_S = 30.0
_LOOK_EVERY_S = 1.0
_AHEAD = 4  # tasks in hand for each thread of the workers
_LARGE_GRAPH = "1 GiB"  # a photograph is larger than what Dask warns of

_one_at_a_time = threading.Lock()


@dataclass(frozen=True, slots=True)
class Cluster:
    """A Dask cluster.

    Attributes:
        address: of its scheduler, ``tcp://host:port`` or ``tls://host:port``; the certificates
            for tls are Dask's own settings.

    Raises:
        CrewError: the address cannot be one, or dask.distributed is not installed.
    """

    address: str

    def __post_init__(self) -> None:
        if not _is_address(self.address):
            raise CrewError(
                f"--cluster: {self.address[:80]!r} is no scheduler's address. Give tcp://HOST:PORT "
                "or tls://HOST:PORT, as the scheduler prints it when it starts"
            )
        if find_spec("distributed") is None:
            raise CrewError(
                "--cluster: dask.distributed is not installed. Install it here and on every "
                "worker: pip install 'livery[cluster]'"
            )

    def expect(self, *calls: Callable[..., object]) -> None:
        """See ``Crew``: a cluster's workers are there already."""

    def work(self, tasks: Sequence[Task[T]]) -> Generator[T, None, None]:
        """See ``Crew``."""
        if not tasks:
            return
        with _connected(self.address) as client:
            yield from _in_order(client, tasks, self.address)


def _is_address(text: str) -> bool:
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        return False
    plain = not (parts.path or parts.query or parts.fragment or parts.username or parts.password)
    return parts.scheme in ("tcp", "tls") and bool(parts.hostname) and bool(port) and plain


@contextmanager
def _connected(address: str) -> Iterator[Any]:
    import dask

    settings = {
        "distributed.admin.large-graph-warning-threshold": _LARGE_GRAPH,
        "distributed.comm.timeouts.connect": f"{CONNECT_S:g}s",
    }
    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # what matters is raised
    with dask.config.set(settings):
        try:
            client = _open(address)
        except (OSError, TimeoutError, ValueError, RuntimeError) as error:
            raise CrewError(
                f"--cluster: no scheduler answers at {address} ({_short(error)}). Start one with "
                "'dask scheduler', and its workers with 'dask worker'"
            ) from error
        try:
            yield client
        finally:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # of what was still on its way
                client.close(timeout=CONNECT_S)


def _open(address: str) -> Any:
    import distributed

    make: Any = distributed.Client  # its types are not told
    return make(address, timeout=CONNECT_S, set_as_default=False)


def _in_order(client: Any, tasks: Sequence[Task[T]], address: str) -> Iterator[T]:
    coming, packer = iter(tasks), Packer()
    waiting: deque[tuple[Task[T], Any]] = deque()
    try:
        while True:
            ahead = _AHEAD * max(1, sum(_threads(client).values()))
            while len(waiting) < ahead and (task := next(coming, None)) is not None:
                waiting.append((task, _send(client, task, packer)))
            if not waiting:
                return
            task, future = waiting[0]
            result = _wait(client, task, future, address)
            waiting.popleft()
            future.release()
            yield result
    finally:
        client.cancel([future for _, future in waiting], force=True)


def _send(client: Any, task: Task[T], packer: Packer) -> Any:
    packed = packer.pack(task.given)
    return client.submit(_do, code_fingerprint(), task.call, packed, pure=False)


def _do(fingerprint: str, call: Any, packed: bytes) -> Any:
    """A task on a worker, which must be of the same code, or its bytes might differ."""
    if fingerprint != code_fingerprint():
        raise CrewError(
            "a worker of the cluster has another livery, Python or library. Install the same on "
            "every machine"
        )
    with _one_at_a_time:  # a worker's threads share libraries that keep a state
        return call(*unpack(packed))


def _wait(client: Any, task: Task[T], future: Any, address: str) -> T:
    left_since: float | None = None
    while not _is_settled(future, client, task, address):
        left_since = None if _threads(client) else left_since or time.monotonic()
        if left_since and time.monotonic() - left_since > LONGEST_WITHOUT_WORKERS_S:
            raise CrewError(
                f"{task.name}: the cluster at {address} has had no workers for "
                f"{LONGEST_WITHOUT_WORKERS_S:g} s. Start some with 'dask worker {address}'"
            )
    if future.status == "finished":
        return future.result()  # type: ignore[no-any-return]
    raise _failure(task, future.exception())


def _is_settled(future: Any, client: Any, task: Task[T], address: str) -> bool:
    """Whether a task is done or has failed, after a look at it of a second at most.

    Raises:
        CrewError: the cluster was lost.
    """
    try:
        future.exception(timeout=_LOOK_EVERY_S)
    except TimeoutError:
        pass
    except (CancelledError, OSError) as error:
        raise _lost(task, address, error) from error
    if future.status in ("cancelled", "lost") or client.status != "running":
        raise _lost(task, address, future.status)
    return bool(future.status != "pending")


def _failure(task: Task[T], error: BaseException) -> BaseException:
    """What a task failed of, in words where it is the cluster's fault."""
    from distributed import KilledWorker

    if isinstance(error, KilledWorker):
        return CrewError(
            f"{task.name}: the workers it was given to ended without a result. They may be short "
            "of memory: see their logs"
        )
    if isinstance(error, ModuleNotFoundError):
        return CrewError(
            f"{task.name}: a worker lacks {error.name}. Install the same livery on every machine"
        )
    return error


def _lost(task: Task[T], address: str, reason: object) -> CrewError:
    return CrewError(
        f"{task.name}: the cluster at {address} was lost ({_short(reason)}). See whether its "
        "scheduler still runs, and try again"
    )


def _threads(client: Any) -> dict[str, int]:
    try:
        return dict(client.nthreads())
    except OSError:
        return {}


def _short(reason: object) -> str:
    words = str(reason).strip().splitlines()
    return (words[0] if words else type(reason).__name__)[:120]
