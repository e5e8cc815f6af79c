"""Outputs are whole or absent: write to a temporary name beside the target, then rename."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Callable, Collection
from contextlib import suppress
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import BinaryIO

from livery.errors import OutputError
from livery.leftovers import clear_leftovers, make_temporary_folder, open_temporary

_MANIFEST = ".livery-files.json"
_MANIFESTS = ".livery*-files.json"


def write_whole(path: Path, data: bytes | str) -> None:
    r"""Write a file so that a failure leaves any earlier file untouched.

    Args:
        path: where to write; folders are made as needed.
        data: the whole content; text is written as UTF-8 with ``\n`` line ends.

    Raises:
        OutputError: the place cannot be written.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    write_streamed(path, lambda stream: stream.write(content))


def write_streamed(path: Path, write: Callable[[BinaryIO], object]) -> None:
    """As ``write_whole``, of content that need not be in memory at once.

    Args:
        path: where to write; folders are made as needed.
        write: writes the content to the stream it is given.

    Raises:
        OutputError: the place cannot be written.
    """
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _sweep(path.parent)
        handle, temporary = open_temporary(path.parent, path.name)
        with os.fdopen(handle, "wb") as stream:
            write(stream)
            stream.flush()
            temporary.chmod(0o644)
            temporary.replace(path)
    except OSError as error:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)
        raise _cannot_write(path, error) from error


@cache
def _sweep(folder: Path) -> None:
    """Clear what a killed run left in a folder, once a process."""
    clear_leftovers(folder)


class StagedFolder:
    """A folder of outputs that appears all at once when the work succeeds.

    Inside the ``with`` block files go to ``self.path``, a hidden folder beside the target. On
    success each is renamed into the target, and files that an earlier run of the same work made
    and this run neither made nor kept are removed; files that livery did not make are never
    touched, and stand in the way of any of the same name. On an error the staging folder is
    dropped and the target is as it was.

    Args:
        target: the folder to fill; made if absent.
        work: a name for the kind of work, so that another kind's files in the same folder stay;
            "" is a season's build.

    Raises:
        OutputError: the place cannot be written, or holds somebody's own file of that name.
    """

    def __init__(self, target: Path, work: str = "") -> None:
        self.target = target
        self._manifest = target / (f".livery-{work}-files.json" if work else _MANIFEST)
        self.path = target
        self._kept: dict[Path, str] = {}

    def __enter__(self) -> StagedFolder:
        try:
            self.target.mkdir(parents=True, exist_ok=True)
            clear_leftovers(self.target)
            self._lock, self.path = make_temporary_folder(self.target, "staging-")
        except OSError as error:
            raise _cannot_write(self.target, error) from error
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        try:
            if kind is None:
                self._publish()
        except OutputError:
            raise
        except OSError as failure:
            raise _cannot_write(self.target, failure) from failure
        finally:
            shutil.rmtree(self.path, ignore_errors=True)
            os.close(self._lock)

    def find_standing(self) -> dict[str, str]:
        """As the function of that name, of the target."""
        return find_standing(self.target)

    def keep(self, name: Path, digest: str) -> None:
        """Leave a file of the earlier run as it lies; it counts as made by this one.

        Args:
            name: relative to the target.
            digest: its SHA-256, as found.
        """
        self._kept[name] = digest

    def digest(self, name: Path) -> str:
        """SHA-256 of a file made or kept."""
        return self._kept[name] if name in self._kept else _digest(self.path / name)

    def digests(self) -> dict[str, str]:
        """Name and SHA-256 of every file made or kept so far, by name."""
        made = {p.relative_to(self.path): p for p in self.path.rglob("*") if p.is_file()}
        digests = {**self._kept, **{name: _digest(path) for name, path in made.items()}}
        return {name.as_posix(): digests[name] for name in sorted(digests)}

    def _publish(self) -> None:
        listing = self.digests()
        earlier = _read_listing(self._manifest) or {}
        _refuse_strangers(self.target, [name for name in listing if Path(name) not in self._kept])
        # Listed before they are moved, so that a run killed between leaves nothing unknown.
        write_whole(self._manifest, _listing_text({**earlier, **listing}))
        for name in listing:
            if Path(name) not in self._kept:
                place = self.target / name
                place.parent.mkdir(parents=True, exist_ok=True)
                (self.path / name).replace(place)
        gone = {name: digest for name, digest in earlier.items() if name not in listing}
        for name in _still_as_made(self.target, gone):
            _remove(self.target / name, self.target)
        write_whole(self._manifest, _listing_text(listing))


def _refuse_strangers(target: Path, names: Collection[str]) -> None:
    """See that nothing of somebody's own stands where files are to go.

    A list that cannot be read tells nothing, and then nothing is refused but a folder.

    Raises:
        OutputError: something does; nothing has been touched.
    """
    files = {name for name in names if (target / name).is_file()}
    listings = [_read_listing(path) for path in target.glob(_MANIFESTS)]  # another run lists first
    known = {name for listing in listings if listing for name in listing}
    foreign = set() if None in listings else files - known
    for name in names:
        if (target / name).is_dir():
            raise _in_the_way(target / name, "a folder")
        blocked = [target / up for up in Path(name).parents if (target / up).is_file()]
        if name in foreign or blocked:
            raise _in_the_way((*blocked, target / name)[0], "a file that livery did not make")


def _in_the_way(place: Path, what: str) -> OutputError:
    return OutputError(f"{place}: here stands {what}. Choose another folder, or move it.")


def find_standing(target: Path) -> dict[str, str]:
    """Name and SHA-256 of the files an earlier build made in a folder, still as it made them."""
    return _still_as_made(target, _read_listing(target / _MANIFEST) or {})


def _read_listing(manifest: Path) -> dict[str, str] | None:
    """Name and SHA-256 of what a run made; None where there is no list that can be read."""
    try:
        listing = json.loads(manifest.read_text("utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return listing if isinstance(listing, dict) else None


def _still_as_made(target: Path, listing: dict[str, str]) -> dict[str, str]:
    standing = {}
    for name, digest in listing.items():
        with suppress(OSError, ValueError):  # no name that a file could have
            path = (target / name).resolve()
            if path.is_relative_to(target.resolve()) and path.is_file() and _digest(path) == digest:
                standing[name] = digest
    return standing


def find_whole(target: Path) -> dict[str, str] | None:
    """As ``find_standing``, where every file stands and the list of them too; else None."""
    standing = find_standing(target)
    try:
        text = (target / _MANIFEST).read_text("utf-8")
    except (OSError, ValueError):
        return None
    return standing if text == _listing_text(standing) else None


def _listing_text(digests: dict[str, str]) -> str:
    return json.dumps(digests, indent=1) + "\n"


def _remove(path: Path, top: Path) -> None:
    """Remove a file, and the folders that it leaves empty."""
    path.unlink(missing_ok=True)
    for folder in path.parents:
        if folder == top or not folder.is_relative_to(top) or any(folder.iterdir()):
            break
        folder.rmdir()


def _digest(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _cannot_write(path: Path, error: OSError) -> OutputError:
    reason = error.strerror or type(error).__name__
    return OutputError(f"{path}: cannot be written ({reason}). Choose another folder, or free it.")
