"""What a result depends on, as one digest: the values given, and the code that works on them.

Only what is listed here can be digested; anything else is refused, so that nothing that decides a
result can be left out unseen.
"""

from __future__ import annotations

import dataclasses
import enum
import hashlib
import platform
import re
import sys
import zlib
from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from importlib import metadata
from pathlib import Path, PurePath
from typing import Any

import livery


class Digester:
    """Digests values by their content, each shared part once.

    One instance serves one build: it keeps what it has digested alive.
    """

    def __init__(self) -> None:
        self._known: dict[int, tuple[object, bytes]] = {}

    def digest(self, *values: object) -> str:
        """SHA-256 of values, told by type, order and content; 64 hexadecimal digits.

        Raises:
            TypeError: a value of a kind that is not known here.
        """
        return self._of(values).hex()

    def _of(self, value: object) -> bytes:
        if isinstance(value, (str, bytes, int, float, type(None), enum.Enum)):
            return _leaf(value)
        if id(value) in self._known:
            return self._known[id(value)][1]
        mixed = hashlib.sha256(type(value).__qualname__.encode())
        for part in self._parts(value):
            mixed.update(part)
        digest = mixed.digest()
        if dataclasses.is_dataclass(value):  # what values share; their tuples would fill memory
            self._known[id(value)] = (value, digest)
        return digest

    def _parts(self, value: Any) -> Iterator[bytes]:
        if dataclasses.is_dataclass(value):
            yield from (self._of(getattr(value, one.name)) for one in dataclasses.fields(value))
        elif isinstance(value, (tuple, list)):
            yield from map(self._of, value)
        elif isinstance(value, (set, frozenset)):
            yield from sorted(map(self._of, value))
        elif isinstance(value, Mapping):
            yield from (self._of(key) + self._of(one) for key, one in value.items())
        elif isinstance(value, PurePath):
            yield _leaf(str(value))
        elif isinstance(value, partial):
            yield self._of((_name(value.func), value.args, dict(value.keywords)))
        elif callable(value) and hasattr(value, "__qualname__"):
            yield _leaf(_name(value))
        elif hasattr(value, "dtype") and hasattr(value, "tobytes"):
            yield _leaf(f"{value.dtype.str} {value.shape}") + _leaf(value.tobytes())
        elif hasattr(value, "wkb"):
            yield _leaf(value.wkb)
        else:
            raise TypeError(f"cannot digest {type(value).__qualname__}")


def _leaf(value: object) -> bytes:
    text = value if isinstance(value, bytes) else repr(value).encode("utf-8", "surrogatepass")
    return hashlib.sha256(type(value).__qualname__.encode() + b" " + text).digest()


def _name(function: Callable[..., object]) -> str:
    return f"{function.__module__}.{function.__qualname__}"


@cache
def code_fingerprint() -> str:
    """SHA-256 over livery's files, its libraries' versions, Python's and the machine's kind.

    Two processes with the same fingerprint make the same bytes of the same values.
    """
    root = Path(livery.__file__).parent
    mixed = hashlib.sha256()
    for path in sorted(root.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            mixed.update(f"{path.relative_to(root).as_posix()}\n".encode())
            mixed.update(hashlib.sha256(path.read_bytes()).digest())
    built = (sys.version, zlib.ZLIB_RUNTIME_VERSION, platform.machine(), sys.platform)
    for fact in (*_libraries(), *built):
        mixed.update(f"{fact}\n".encode())
    return mixed.hexdigest()


def _libraries() -> list[str]:
    """The libraries livery asks for, with their versions; all there are where it is not said."""
    try:
        asked = metadata.requires("livery") or []
    except metadata.PackageNotFoundError:
        return sorted(f"{one.metadata['Name']} {one.version}" for one in metadata.distributions())
    names = {re.split(r"[^A-Za-z0-9._-]", one, maxsplit=1)[0] for one in asked if ";" not in one}
    return sorted(f"{name} {metadata.version(name)}" for name in names)
