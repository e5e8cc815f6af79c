"""What was made lately, kept so that it is not made again at once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class Newest(Generic[T]):
    """Values by key; the longest unasked for make room for new ones.

    Args:
        most: how many are kept.
    """

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, Lock()
        self._kept: OrderedDict[Hashable, Future[T]] = OrderedDict()

    def find(self, key: Hashable, make: Callable[[], T]) -> T:
        """The value of a key, made when it is not there; all who ask meanwhile wait for the one."""
        with self._lock:
            known = self._kept.get(key)
            if known is not None:
                self._kept.move_to_end(key)
            else:
                own = self._kept[key] = Future[T]()
                while len(self._kept) > self._most:
                    self._kept.popitem(last=False)
        if known is not None:
            return known.result()
        try:
            own.set_result(make())
        except BaseException as error:
            with self._lock:
                if self._kept.get(key) is own:
                    del self._kept[key]
            own.set_exception(error)
        return own.result()
