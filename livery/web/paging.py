"""Long lists, searched by words and shown a part at a time."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")
_ROWS = 60  # on one page; workshop choice


@dataclass(frozen=True, slots=True)
class Part(Generic[T]):
    """Part of a list.

    Attributes:
        rows: those shown.
        number, pages: which part of how many; from 1 on.
        fit: how many rows hold the words asked for.
        every: how many rows there are.
        asked: the words asked for; "" shows all.
    """

    rows: tuple[T, ...]
    number: int
    pages: int
    fit: int
    every: int
    asked: str

    @property
    def is_long(self) -> bool:
        """Whether searching it helps, or it was searched."""
        return self.every > _ROWS or self.asked != ""


def find_part(
    rows: Sequence[T], words: Callable[[T], str], asked: str = "", number: int = 1
) -> Part[T]:
    """The rows whose words hold all words asked for, whatever their case, a part at a time."""
    wanted = _plain(asked).split()
    fit = [row for row in rows if not wanted or all(one in _plain(words(row)) for one in wanted)]
    pages = max(1, -(-len(fit) // _ROWS))
    number = min(max(number, 1), pages)
    shown = tuple(fit[(number - 1) * _ROWS : number * _ROWS])
    return Part(shown, number, pages, len(fit), len(rows), asked.strip()[:100])


def _plain(text: str) -> str:
    return unicodedata.normalize("NFKC", text).casefold()
