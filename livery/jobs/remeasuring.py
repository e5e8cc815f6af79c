"""Stored photographs measured again, shared out as bytes: when measuring itself has improved."""

from __future__ import annotations

import json
from collections.abc import Generator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import overload

from livery.capture import capture_to_json
from livery.crew import Crew, Task, Watch, do_each, unwatched
from livery.errors import InputError, LiveryError
from livery.jobs.photograph_tasks import Setting, measure_bytes
from livery.jobs.photographs import capture_text
from livery.records.judgements import KeptPhotograph, list_numbers, list_photographs
from livery.records.store import Store
from livery.writing import write_whole

_BATCH = 500  # captures looked through at a time; workshop choice


@dataclass(frozen=True, slots=True)
class Remeasured:
    """One stored photograph, measured again.

    Attributes:
        number: of its capture in the records.
        text: the new capture as JSON; "" where there is trouble.
        ok: whether it passes every gate.
    """

    number: int
    bat: str
    text: str = ""
    ok: bool = False
    trouble: str = ""

    @property
    def file_name(self) -> str:
        """What its capture file is called."""
        return f"{self.number:06}.capture.json"


def remeasure_records(
    store: Store,
    setting: Setting,
    bat: str | None = None,
    *,
    crew: Crew | None = None,
    watch: Watch = unwatched,
) -> Generator[Remeasured, None, None]:
    """Measure the photographs of stored captures that show a target; the records stay as they are.

    Args:
        store: the season's records.
        setting: the target, which captures name by its key, and the regions on all of them.
        bat: only of this one.
        crew: who measures; a photograph goes to its worker as bytes.
        watch: told of progress.
    """
    photos = tuple(_find(store, setting.target.key, bat))
    tasks = _Stored(store, photos, setting)
    with closing(do_each(tasks, crew=crew, stage="measuring", watch=watch)) as results:
        yield from results


def write_captures(found: Generator[Remeasured, None, None], out: Path) -> list[Remeasured]:
    """Write each new capture as it comes; returns what came, without the texts.

    Raises:
        OutputError: the folder cannot be written.
    """
    told = []
    for one in found:
        if one.text:
            write_whole(out / one.file_name, one.text)
        told.append(Remeasured(one.number, one.bat, "", one.ok, one.trouble))
    return told


def measure_stored(
    photo: KeptPhotograph, data: bytes, trouble: str, setting: Setting
) -> Remeasured:
    """Measure one photograph that came as bytes."""
    if trouble:
        return Remeasured(photo.number, photo.bat, trouble=trouble)
    try:
        capture, _ = measure_bytes(photo.name, data, setting, False)
    except LiveryError as error:
        return Remeasured(photo.number, photo.bat, trouble=str(error))
    return Remeasured(photo.number, photo.bat, capture_text(capture_to_json(capture)), capture.ok)


class _Stored(Sequence[Task[Remeasured]]):
    """Tasks whose photographs are read from the evidence when their turn comes."""

    def __init__(self, store: Store, photos: tuple[KeptPhotograph, ...], setting: Setting) -> None:
        self._store, self._photos, self._setting = store, photos, setting

    def __len__(self) -> int:
        return len(self._photos)

    @overload
    def __getitem__(self, index: int) -> Task[Remeasured]: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Task[Remeasured]]: ...
    def __getitem__(self, index: int | slice) -> Task[Remeasured] | Sequence[Task[Remeasured]]:
        if isinstance(index, slice):
            return _Stored(self._store, self._photos[index], self._setting)
        photo = self._photos[index]
        data, trouble = b"", ""
        try:
            data = self._store.evidence.read(photo.digest)
        except InputError as error:
            trouble = str(error)
        given = (photo, data, trouble, self._setting)
        return Task(f"capture {photo.number}", measure_stored, given)


def _find(store: Store, target: str, bat: str | None) -> Generator[KeptPhotograph, None, None]:
    numbers = list_numbers(store, bat)
    for start in range(0, len(numbers), _BATCH):
        for photo, text in list_photographs(store, numbers[start : start + _BATCH]):
            if _target_of(text) == target:
                yield photo


def _target_of(text: str) -> object:
    """The target that a stored capture names; None of a damaged one."""
    try:
        capture = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return capture.get("target") if isinstance(capture, dict) else None
