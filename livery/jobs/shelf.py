"""Photographs taken in at the bench and not yet kept: decoded once, shown small, told by gates."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

import numpy as np

from livery.capture import Photograph, measure_photograph, read_photograph
from livery.capture.model import Capture, Target
from livery.capture.preview import Preview, make_preview
from livery.crew.hands import Hands
from livery.errors import Fault, InputError, PhotographError
from livery.jobs.photographs import parse_corners
from livery.jobs.recordkeeping import PHOTOGRAPHS
from livery.records.evidence import EvidenceFolder, kind_of
from livery.writing import write_whole

MOST_WAITING = 60  # photographs looked at and not kept; workshop choice
_REMEMBERED = 64  # what gates said, of photographs looked at last; workshop choice


@dataclass(frozen=True, slots=True)
class Waiting:
    """A photograph taken in and not yet kept.

    Attributes:
        digest: SHA-256 of its bytes.
        width_px, height_px: as EXIF turns it.
    """

    digest: str
    width_px: int
    height_px: int


class Shelf:
    """Photographs taken in and not yet kept; the oldest make room for new ones.

    Args:
        folder: of the season's records.
        hands: who does the image work.
    """

    def __init__(self, folder: Path, hands: Hands) -> None:
        self._hands = hands
        self._files = EvidenceFolder(folder / "waiting")
        self._seen: dict[tuple[str, Target, str], Capture] = {}
        self._clearing = Lock()

    def take_in(self, data: bytes, name: str, target: Target) -> Waiting:
        """Take a photograph in, make its preview and judge it by its gates, decoding it once.

        Raises:
            PhotographError: its content is no photograph, whatever its name says.
        """
        if kind_of(data) not in PHOTOGRAPHS:
            fault = Fault(name[:80], "", None, "not a photograph", "Choose a JPEG, PNG or TIFF")
            raise PhotographError(fault)
        digest = self._files.keep(data)
        path = self._files.path_of(digest)
        try:
            preview, capture = self._hands.do(examine, path, target)
        except PhotographError:
            path.unlink(missing_ok=True)
            raise
        size = {"width": preview.width_px, "height": preview.height_px}
        write_whole(path.with_name(f"{digest}.jpg"), preview.jpeg)
        write_whole(path.with_name(f"{digest}.json"), json.dumps(size))
        self._remember((digest, target, ""), capture)
        self._make_room()
        return Waiting(digest, preview.width_px, preview.height_px)

    def find(self, digest: str) -> Waiting:
        """A photograph taken in earlier.

        Raises:
            InputError: there is none of that SHA-256.
        """
        path = self._files.path_of(digest)
        try:
            size = json.loads(path.with_name(f"{digest}.json").read_text("utf-8"))
        except OSError as error:
            fault = Fault("photograph", digest[:12], None, "it is gone", "Take it in again")
            raise InputError(fault) from error
        return Waiting(digest, int(size["width"]), int(size["height"]))

    def path_of(self, digest: str) -> Path:
        """Where a photograph waits."""
        return self._files.path_of(self.find(digest).digest)

    def preview(self, digest: str) -> bytes:
        """The small JPEG of a photograph."""
        return self.path_of(digest).with_name(f"{digest}.jpg").read_bytes()

    def look_at(self, digest: str, target: Target, corners_text: str = "") -> Capture:
        """What a photograph's gates say; at once where it was just taken in.

        Raises:
            PhotographError, TargetError: what was given is wrong.
        """
        path, key = self.path_of(digest), (digest, target, corners_text.strip())
        known = self._seen.get(key)
        if known is not None:
            return known
        return self._remember(key, self._hands.do(look_again, path, target, corners_text))

    def _remember(self, key: tuple[str, Target, str], capture: Capture) -> Capture:
        self._seen[key] = capture
        for old in list(self._seen)[:-_REMEMBERED]:
            self._seen.pop(old, None)
        return capture

    def _make_room(self) -> None:
        with self._clearing:
            photos = [p for p in self._files.root.glob("*/*") if len(p.name) == 64]
            photos.sort(key=_age_ns)
            for path in photos[MOST_WAITING:]:
                for end in ("", ".jpg", ".json"):
                    path.with_name(f"{path.name}{end}").unlink(missing_ok=True)


def _age_ns(path: Path) -> int:
    """By which the newest come first; a file just taken away by another comes last."""
    try:
        return -path.stat().st_mtime_ns
    except OSError:
        return 0


def examine(photo: Path, target: Target) -> tuple[Preview, Capture]:
    """A photograph's preview and what its gates say, decoding it once.

    Raises:
        PhotographError: it cannot be read.
    """
    photograph = read_photograph(photo)
    return make_preview(photograph), measure_photograph(photograph, target)


def look_again(photo: Path, target: Target, corners_text: str) -> Capture:
    """What a photograph's gates say, the target's corners pointed at or looked for.

    Raises:
        PhotographError, TargetError: what was given is wrong.
    """
    corners = parse_corners(corners_text) if corners_text.strip() else None
    return measure_photograph(read_photograph(photo), target, (), corners)


def look_at_nothing(target: Target) -> None:
    """Look for a target in a blank picture, so that everything it takes is loaded."""
    blank = np.full((64, 64, 3), 128, dtype=np.uint8)
    measure_photograph(Photograph("", blank, None, ""), target)
