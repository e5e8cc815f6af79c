"""Evidence: photographs and PDFs, kept once each under the SHA-256 of their bytes."""

from __future__ import annotations

import os
from pathlib import Path

from livery.errors import Fault, InputError
from livery.records.canonical import sha256
from livery.writing import write_whole

_KINDS = (
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"II*\x00", "image/tiff"),
    (b"MM\x00*", "image/tiff"),
    (b"%PDF-", "application/pdf"),
    (b"\x1f\x8b", "application/gzip"),
)


def kind_of(data: bytes) -> str:
    """The media type by content, never by name; ``application/octet-stream`` if unknown."""
    for start, kind in _KINDS:
        if data.startswith(start):
            return kind
    return "application/octet-stream"


class EvidenceFolder:
    """A folder of evidence. A file once there is never rewritten, unless a power cut left half.

    Args:
        root: the folder; made when first needed.
    """

    def __init__(self, root: Path) -> None:
        self.root = root

    def path_of(self, digest: str) -> Path:
        """Where evidence of that SHA-256 lies.

        Raises:
            InputError: not a SHA-256.
        """
        if len(digest) != 64 or not set(digest) <= set("0123456789abcdef"):
            raise InputError(
                Fault(digest[:80], "", None, "not a SHA-256", "Give 64 hexadecimal digits")
            )
        return self.root / digest[:2] / digest

    def keep(self, data: bytes, *, through: bool = False) -> str:
        """Keep some bytes and return their SHA-256; ``through`` to the disk itself."""
        digest = sha256(data)
        path = self.path_of(digest)
        if not path.exists() or path.stat().st_size != len(data):
            write_whole(path, data)
            if through:
                _write_through(path)
        return digest

    def read(self, digest: str) -> bytes:
        """Evidence by its SHA-256, checked as it is read.

        Raises:
            InputError: it is missing, or no longer what was kept.
        """
        path = self.path_of(digest)
        try:
            data = path.read_bytes()
        except OSError as error:
            raise _lost(path, "is missing") from error
        if sha256(data) != digest:
            raise _lost(path, "was changed")
        return data

    def look_for(self, digest: str, size: int) -> None:
        """See that evidence is there at its size, without reading it.

        Raises:
            InputError: it is missing, or of another size.
        """
        path = self.path_of(digest)
        try:
            if path.stat().st_size != size:
                raise _lost(path, "was changed")
        except OSError as error:
            raise _lost(path, "is missing") from error


def _write_through(path: Path) -> None:
    """Have a file and its name on the disk itself, so that no power cut takes it."""
    for place in (path, path.parent) if os.name == "posix" else (path,):
        handle = os.open(place, os.O_RDONLY if os.name == "posix" else os.O_RDWR)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _lost(path: Path, how: str) -> InputError:
    return InputError(Fault(str(path), "", None, f"evidence {how}", "Restore it from a backup"))
