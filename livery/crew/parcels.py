"""Tasks on their way to another process: what many of them hold is opened there once.

What is drawn of a decal or of a piece of kit is kept by the value itself (its bleed and traps, its
paths as written); each task would bring values that are equal to those had before, but not the
same.
"""

from __future__ import annotations

import copyreg
import hashlib
import io
import pickle
from collections.abc import Callable
from itertools import count
from typing import Any, Generic, TypeVar

from livery.crew.memory import TIDIES, give_back
from livery.crew.tasks import Task

T = TypeVar("T")

MOST_OPENED = 192  # values that come again, kept by a worker; workshop choice


_opened: dict[bytes, Any] = {}
_done = count(1)


class Packer:
    """Packs the tasks of one piece of work."""

    def __init__(self) -> None:
        from livery.artwork.model import Decal, InkRegion
        from livery.kit.model import KitItem
        from livery.scheme.model import Palette, PrintProfile
        from livery.sheet.model import SheetDecal

        self._packed: dict[int, tuple[object, tuple[bytes, bytes]]] = {}
        kinds = (Decal, SheetDecal, InkRegion, KitItem, Palette, PrintProfile)
        self._reductions = copyreg.dispatch_table | dict.fromkeys(kinds, self._reduce)

    def pack(self, given: tuple[Any, ...]) -> bytes:
        """What a task is given, for ``unpack``."""
        stream = io.BytesIO()
        pickler = pickle.Pickler(stream, pickle.HIGHEST_PROTOCOL)
        pickler.dispatch_table = self._reductions
        pickler.dump(given)
        return stream.getvalue()

    def _reduce(self, value: Any) -> tuple[Any, ...]:
        if _is_worded(value):
            plain: tuple[Any, ...] = value.__reduce_ex__(pickle.HIGHEST_PROTOCOL)
            return plain
        if id(value) not in self._packed:
            packed = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
            self._packed[id(value)] = value, (hashlib.sha256(packed).digest(), packed)
        return open_once, self._packed[id(value)][1]


class Parcel(Generic[T]):
    """A task that is packed at the moment it is sent.

    Args:
        task: what is to be done.
        packer: shared by all tasks of one piece of work.
    """

    def __init__(self, task: Task[T], packer: Packer) -> None:
        self._task, self._packer = task, packer

    def __call__(self) -> T:
        """Do it; once received it is the task itself."""
        return self._task()

    def __reduce__(self) -> tuple[Any, ...]:
        return _received, (self._task.call, self._packer.pack(self._task.given))


def unpack(packed: bytes) -> tuple[Any, ...]:
    """What a task is given; values that came before are those had before."""
    given: tuple[Any, ...] = pickle.loads(packed)
    return given


def open_once(digest: bytes, packed: bytes) -> Any:
    """A value, the one had before where it came before.

    Args:
        digest: SHA-256 of ``packed``.
        packed: the value as its packer wrote it.
    """
    if digest not in _opened:
        if len(_opened) >= MOST_OPENED:
            _opened.clear()
        _opened[digest] = pickle.loads(packed)
    return _opened[digest]


def _received(call: Callable[..., T], packed: bytes) -> Task[T]:
    return Task("", _do, (call, unpack(packed)))


def _do(call: Callable[..., T], given: tuple[Any, ...]) -> T:
    if next(_done) % TIDIES == 0:
        give_back()
    return call(*given)


def _is_worded(value: Any) -> bool:
    """Whether a decal bears an order's own words, or a region is lettering: both hardly return."""
    lettering = getattr(value, "text_height_mm", None) is not None
    return lettering or bool(getattr(getattr(value, "decal", value), "texts", ()))
