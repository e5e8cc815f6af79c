"""Many photographs of one bench, shared out: each travels to its worker as bytes."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import overload

import numpy as np
from numpy.typing import NDArray

from livery.capture import Known, annotate, capture_to_json, read_photograph, read_regions
from livery.capture import measure_photograph as measure_decoded
from livery.capture.duplicate import unlikeness
from livery.capture.gates import LEAST_UNLIKE
from livery.capture.model import Capture, Region, Target
from livery.capture.photograph import Photograph
from livery.crew import Crew, Task, Watch, do_each, unwatched
from livery.errors import Fault, PhotographError
from livery.jobs.photographs import capture_text, find_target, parse_corners
from livery.writing import write_whole


@dataclass(frozen=True, slots=True, eq=False)
class Setting:
    """What all the photographs show.

    Attributes:
        corners: of the target in px, shape (4, 2), or None to look for it.
    """

    target: Target
    regions: tuple[Region, ...] = ()
    corners: NDArray[np.float64] | None = None


def read_setting(target: str, regions: Path | None, corners: str | None) -> Setting:
    """What the command line says of all the photographs.

    Raises:
        TargetError: what was given is wrong.
    """
    named = tuple(read_regions(regions)) if regions is not None else ()
    points = parse_corners(corners) if corners is not None else None
    return Setting(find_target(target), named, points)


def measure_photographs(
    photos: Sequence[Path],
    setting: Setting,
    out: Path | None = None,
    crew: Crew | None = None,
    watch: Watch = unwatched,
) -> list[Capture]:
    """Measure photographs; with ``out``, also write each one's capture and annotated picture.

    A file that is a copy of an earlier one is no evidence: its capture fails the gate
    ``duplicate``.

    Args:
        photos: files, no two of one name where they are written.
        setting: what all of them show.
        out: folder for the results, written as they come.
        crew: who measures; this process unless given.
        watch: told of progress.

    Raises:
        PhotographError: the first that cannot be read or is no photograph.
    """
    if out is not None:
        _refuse_namesakes(photos)
    tasks = _Photographs(photos, setting, out is not None)
    captures = []
    with closing(do_each(tasks, crew=crew, stage="measuring", watch=watch)) as results:
        for photo, (capture, picture) in zip(photos, results, strict=True):
            captures.append(capture)
            if out is not None:
                text = capture_text(capture_to_json(capture))
                write_whole(out / f"{photo.stem}.capture.json", text)
                write_whole(out / f"{photo.stem}.annotated.png", picture)
    return captures


def list_look_alikes(captures: Sequence[Capture]) -> tuple[str, ...]:
    """Of each capture the earlier photograph that it may be a copy of; "" of none.

    Two by a camera that stands fixed may look as much alike, so that it is for a person to say.
    """
    named = []
    for number, capture in enumerate(captures):
        earlier = [one for one in captures[:number] if one.source != capture.source]
        unlike = unlikeness(capture.fingerprint, [one.fingerprint for one in earlier])
        alike = bool(earlier) and unlike.min() < LEAST_UNLIKE
        named.append(earlier[int(unlike.argmin())].photo if alike else "")
    return tuple(named)


class _Photographs(Sequence[Task[tuple[Capture, bytes]]]):
    """Tasks whose photographs are read when their turn comes, so that few are held at once."""

    def __init__(self, photos: Sequence[Path], setting: Setting, pictured: bool) -> None:
        self._photos, self._setting, self._pictured = photos, setting, pictured
        self._firsts: dict[str, int] = {}  # by a file's SHA-256

    def __len__(self) -> int:
        return len(self._photos)

    @overload
    def __getitem__(self, index: int) -> Task[tuple[Capture, bytes]]: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Task[tuple[Capture, bytes]]]: ...
    def __getitem__(
        self, index: int | slice
    ) -> Task[tuple[Capture, bytes]] | Sequence[Task[tuple[Capture, bytes]]]:
        """One photograph's task, its file read now."""
        if isinstance(index, slice):
            return _Photographs(self._photos[index], self._setting, self._pictured)
        path = self._photos[index]
        if path.exists() and not path.is_file():
            fault = Fault(str(path), "", None, "this is no plain file", "Name a photograph")
            raise PhotographError(fault)
        try:
            data = path.read_bytes()
        except OSError as error:
            found = error.strerror or type(error).__name__
            fault = Fault(str(path), "", None, found, "Name a photograph that can be read")
            raise PhotographError(fault) from error
        digest = sha256(data).hexdigest()
        first = self._firsts.setdefault(digest, index)
        known = (Known(str(self._photos[first]), digest),) if first < index else ()
        given = (str(path), data, self._setting, self._pictured, known)
        return Task(str(path), measure_bytes, given)


def measure_bytes(
    name: str, data: bytes, setting: Setting, pictured: bool, known: tuple[Known, ...] = ()
) -> tuple[Capture, bytes]:
    """Measure a photograph that came as bytes.

    Args:
        name: as its owner calls it.
        data: the whole file.
        setting: what it shows.
        pictured: draw the annotated picture as well.
        known: photographs already had, of which this must be none.

    Returns:
        The capture, and the picture as PNG or nothing.

    Raises:
        PhotographError: it cannot be read, or is no photograph.
    """
    photo = _decode(name, data)
    capture = measure_decoded(photo, setting.target, setting.regions, setting.corners, known)
    return capture, annotate(photo, capture) if pictured else b""


def _decode(name: str, data: bytes) -> Photograph:
    with TemporaryDirectory() as folder:
        path = Path(folder) / f"photograph{Path(name).suffix}"
        path.write_bytes(data)
        try:
            return replace(read_photograph(path), path=name)
        except PhotographError as error:
            raise PhotographError(*(replace(f, file=name) for f in error.faults)) from None


def _refuse_namesakes(photos: Sequence[Path]) -> None:
    known: dict[str, Path] = {}
    for photo in photos:
        other = known.setdefault(photo.stem, photo)
        if other is not photo:
            found = f"its results would be called as those of {other}"
            mend = "Rename one, or measure them into two folders"
            raise PhotographError(Fault(str(photo), "", None, found, mend))
