"""A TOML file becomes a document: decoded, parsed, digested, and able to say where a key stands."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from livery.errors import Fault, SeasonError
from livery.file_kinds import kind_of_file
from livery.scheme.locator import KeyPath, format_place, locate_keys

LIMIT_BYTES = 32 * 1024 * 1024
"""Largest file read. Source: workshop-choice; a season of 100,000 orders is about 25 MB."""

_TOML_PLACE = re.compile(
    r"^(.*?)\s*\(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL
)
_TABLE_NAME = re.compile(r"\('([^()]*?)',?\)")  # as tomllib prints a table's name

_MOST_PARTS = 64  # of a dotted key, as reading takes the square of them [source: workshop-choice]
_DEEP_KEY = re.compile(
    rf"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{_MOST_PARTS}}}"""
)


@dataclass(frozen=True)
class Document:
    """A parsed TOML file.

    Attributes:
        path: where it was read from.
        shown: the path as the user gave it, for messages.
        data: its top table.
        digest: SHA-256 of its bytes, hexadecimal.
    """

    path: Path
    shown: str
    text: str
    data: dict[str, Any]
    digest: str

    @cached_property
    def lines(self) -> dict[KeyPath, int]:
        """1-based line of every key and array element; none where they are nested too deeply."""
        try:
            return locate_keys(self.text)
        except RecursionError:
            return {}

    def line(self, key_path: Sequence[str | int]) -> int:
        """Line of a key, or of the nearest table that would hold it."""
        wanted = tuple(key_path)
        while wanted and wanted not in self.lines:
            wanted = wanted[:-1]
        return self.lines.get(wanted, 1)

    def fault(self, key_path: Sequence[str | int], found: str, mend: str) -> Fault:
        """A fault at a key of this document."""
        return Fault(self.shown, format_place(key_path), self.line(key_path), found, mend)


def read_document(path: Path, shown: str | None = None) -> Document:
    """Read a TOML file.

    Args:
        path: the file.
        shown: how messages name it; ``str(path)`` unless given.

    Raises:
        SeasonError: it cannot be read, is not UTF-8, is too large, or is not TOML; one fault.
    """
    name = shown or str(path)
    raw = read_bytes(path, name)
    text = _decode(raw, name)
    if not text.strip():
        raise _refusal(name, "the file is empty", "Write the file's keys, or name another file")
    if text.lstrip().startswith("{"):
        raise _refusal(name, "this is JSON", "Name a TOML file")
    if deep := _DEEP_KEY.search(text):
        line = text.count("\n", 0, deep.start()) + 1
        found = f"a key of more than {_MOST_PARTS} parts"
        raise SeasonError(Fault(name, "", line, found, "Name the table by one to four words"))
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise SeasonError(_syntax_fault(name, text, str(error))) from error
    except RecursionError as error:
        raise _refusal(name, "tables or arrays are nested too deeply", "Flatten them") from error
    except ValueError as error:  # tomllib lets Python's own complaint through
        found = "a whole number has thousands of digits"
        raise _refusal(name, found, "Write a usable number") from error
    return Document(path, name, text, data, hashlib.sha256(raw).hexdigest())


def read_bytes(path: Path, shown: str) -> bytes:
    """Read a whole file of at most ``LIMIT_BYTES``.

    Raises:
        SeasonError: missing, not a plain file, unreadable or too large; one fault.
    """
    try:
        if path.is_dir():
            raise _refusal(shown, "this is a folder", "Name the TOML file inside it")
        if not path.exists():
            raise _refusal(shown, "there is no such file", "Check the path")
        if not path.is_file():
            raise _refusal(shown, "this is not a plain file", "Name a TOML file")
        size = path.stat().st_size
        if size > LIMIT_BYTES:
            raise _refusal(
                shown,
                f"the file has {size:,} bytes",
                f"At most {LIMIT_BYTES:,} bytes are read; split the season",
            )
        return path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, SeasonError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise _refusal(shown, f"cannot be read ({reason})", "Check the path and rights") from error


def _refusal(shown: str, found: str, mend: str) -> SeasonError:
    return SeasonError(Fault(shown, "", None, found, mend))


def _decode(raw: bytes, shown: str) -> str:
    """Decode UTF-8, dropping a byte-order mark, with line ends made one character."""
    if kind := kind_of_file(raw):
        raise _refusal(shown, f"this is {kind}", "Name a TOML file")
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise _refusal(shown, "the file is UTF-16", "Save it as UTF-8")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        found = f"byte 0x{raw[error.start]:02x} at offset {error.start} is not UTF-8"
        raise SeasonError(Fault(shown, "", line, found, "Save the file as UTF-8")) from error
    return text.replace("\r\n", "\n")


def _syntax_fault(shown: str, text: str, message: str) -> Fault:
    match = _TOML_PLACE.match(message)
    if match is None:
        return Fault(shown, "", None, message, "Correct the TOML")
    what, line, column = match.groups()
    number = int(line) if line else text.rstrip("\n").count("\n") + 1
    what = _TABLE_NAME.sub(lambda named: "[" + ".".join(named[1].split("', '")) + "]", what)
    place = f"column {column}" if column else "end of file"
    return Fault(shown, place, number, f"not TOML: {what}", _syntax_mend(what))


def _syntax_mend(what: str) -> str:
    if "overwrite" in what or "twice" in what or "more than once" in what:
        return "A key or table may be given once: remove one, or of several write each as [[name]]"
    if "Invalid value" in what or "Expected newline" in what:
        return 'Text and lengths with a unit stand in quotes: "4.25 in"'
    if "'\\n'" in what or "Unterminated" in what:
        return "Close the quotes on the same line"
    if "Unescaped" in what:
        return "Write paths with /, and a backslash in a text twice"
    return "Correct the TOML at that place"
