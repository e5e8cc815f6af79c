"""What was made lately, kept so that it is not made again at once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
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
        self._kept: OrderedDict[Hashable, T] = OrderedDict()

    def find(self, key: Hashable, make: Callable[[], T]) -> T:
        """The value of a key, made when it is not there; others are not kept waiting for it."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        made = make()
        with self._lock:
            self._kept[key] = made
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made
