"""The season as it is now: read again, apart from the pages, when a file of it has changed."""

from __future__ import annotations

import hashlib
import threading
from concurrent.futures import Future
from pathlib import Path

from livery.crew.hands import Hands
from livery.errors import OutputError
from livery.jobs.survey import Survey, survey

_PATIENCE_S = 20.0  # a page waits so long for a large season; workshop choice
_Stamp = tuple[int, ...]


class Current:
    """What a season file gives, kept until it or a file it names looks different.

    Args:
        season: the season file.
        hands: who reads it.

    Attributes:
        changed: set whenever it was read anew.
    """

    def __init__(self, season: Path, hands: Hands) -> None:
        self._season, self._hands = season, hands
        self._lock = threading.Lock()
        self._known: tuple[Survey, tuple[tuple[str, _Stamp], ...]] | None = None
        self._reading: Future[Survey] | None = None
        self.changed = threading.Event()

    def found(self, patience_s: float | None = _PATIENCE_S) -> Survey:
        """The season as it is now; None waits for it however long it takes.

        Raises:
            SeasonError, ArtworkError: it cannot be read now.
            OutputError: it is still being read.
        """
        with self._lock:
            if self._known is not None and all(look_of(n) == was for n, was in self._known[1]):
                return self._known[0]
            reading = self._reading
            if reading is None:
                reading = self._reading = Future()
                threading.Thread(target=self._read, args=(reading,), daemon=True).start()
        try:
            return reading.result(patience_s)
        except TimeoutError as error:
            told = "The season was changed and is being read again. Wait a little and retry."
            raise OutputError(told) from error

    def _read(self, reading: Future[Survey]) -> None:
        try:
            fresh = self._hands.do(survey, self._season)
            known = fresh, _looks_of(fresh, self._season)
        except BaseException as error:
            with self._lock:
                self._reading = None
            reading.set_exception(error)
            return
        with self._lock:
            self._known, self._reading = known, None
        self.changed.set()
        reading.set_result(fresh)


def _looks_of(found: Survey, season: Path) -> tuple[tuple[str, _Stamp], ...]:
    """Every file of a season as it looked when read; one changed meanwhile looks like no other."""
    looks = []
    for name, digest in found.scheme.digests:
        path = season.parent / name
        look = look_of(str(path))
        try:
            same = hashlib.sha256(path.read_bytes()).hexdigest() == digest
        except OSError:
            same = False
        looks.append((str(path), look if same else (-1,)))
    return tuple(looks)


def look_of(name: str) -> _Stamp:
    """What a file looks like from outside; nothing of one that is not there."""
    try:
        seen = Path(name).stat()
    except OSError:
        return ()
    return (seen.st_mtime_ns, seen.st_size, seen.st_ino)
