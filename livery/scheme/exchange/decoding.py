"""Bytes become text, with whatever mark a program left at their start."""

from __future__ import annotations

import codecs
from pathlib import Path
from typing import NoReturn

from livery.errors import ExchangeError, Fault

LIMIT_BYTES = 64 * 1024 * 1024
"""Largest file read. Source: workshop-choice."""

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def read_bytes(path: Path, shown: str) -> bytes:
    """A file's bytes.

    Raises:
        ExchangeError: it cannot be read, or is too large.
    """
    try:
        if path.exists() and not path.is_file():
            refuse(shown, "this is not a plain file", "Name a CGATS or CxF file")
        if path.stat().st_size > LIMIT_BYTES:
            refuse(shown, "the file is too large", f"At most {LIMIT_BYTES:,} bytes are read")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, ExchangeError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        refuse(shown, f"cannot be read ({reason})", "Check the path and rights")


def decode_text(data: bytes, shown: str) -> tuple[str, tuple[str, ...]]:
    """Text of a file, and a note where it is in an old code page.

    Raises:
        ExchangeError: it is no text.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            try:
                return data.decode(encoding), ()
            except UnicodeDecodeError as error:
                refuse(shown, f"byte {error.start} is not {encoding}", "Save it as UTF-8")
    if b"\0" in data:
        refuse(shown, "it holds bytes that are no text", "Name a CGATS or CxF file")
    try:
        return data.decode("utf-8"), ()
    except UnicodeDecodeError:
        note = "it is not UTF-8 and was read as Windows-1252; look at its names"
        return data.decode("cp1252", errors="replace"), (note,)


def refuse(
    shown: str, found: str, mend: str, *, place: str = "", line: int | None = None
) -> NoReturn:
    """Raise one fault of a colour file.

    Raises:
        ExchangeError: always.
    """
    raise ExchangeError(Fault(shown, place, line, found, mend))
