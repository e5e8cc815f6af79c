"""Temporary files and folders that a killed run leaves, and how the next run clears them.

A temporary is locked by its writer for as long as it is written; the lock goes with the process,
however that ends. What bears our ending and is not locked has no writer any more.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

try:
    import fcntl
except ImportError:  # no such locks on this system: nothing is ever taken for left over
    fcntl = None  # type: ignore[assignment]

_ENDING = ".livery"


def open_temporary(folder: Path, name: str) -> tuple[int, Path]:
    """Make a locked, empty, hidden file; returns its descriptor and path.

    Args:
        folder: where; it must be there.
        name: of the file it is to become.

    Raises:
        OSError: it cannot be made.
    """
    while True:
        handle, made = tempfile.mkstemp(_ENDING, f".{name[:40]}.", folder)
        if _lock(handle) and Path(made).exists():
            return handle, Path(made)
        os.close(handle)


def make_temporary_folder(folder: Path, start: str) -> tuple[int, Path]:
    """Make a locked, empty, hidden folder; returns the lock's descriptor and its path.

    Args:
        folder: where; it must be there.
        start: of its name.

    Raises:
        OSError: it cannot be made.
    """
    while True:
        made = Path(tempfile.mkdtemp(_ENDING, f".{start}", folder))
        handle = os.open(made, os.O_RDONLY)
        if _lock(handle) and made.exists():
            return handle, made
        os.close(handle)


def clear_leftovers(folder: Path, *, deep: bool = False) -> None:
    """Remove temporaries that a killed run left in a folder; those still written stay.

    Args:
        folder: where; it may be absent or not writable, and then nothing is done.
        deep: in the folders within it too.
    """
    pattern = f".*{_ENDING}"
    with suppress(OSError):
        for path in list(folder.rglob(pattern) if deep else folder.glob(pattern)):
            _clear(path)


def _clear(path: Path) -> None:
    with suppress(OSError):
        if path.is_symlink():
            return
        handle = os.open(path, os.O_RDONLY)
        try:
            if fcntl is not None and _lock(handle):
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        finally:
            os.close(handle)


def _lock(handle: int) -> bool:
    """Lock what is open; false where another has."""
    if fcntl is None:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
