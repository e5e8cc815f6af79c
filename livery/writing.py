"""Outputs are whole or absent: write to a temporary name beside the target, then rename."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tempfile
from pathlib import Path
from types import TracebackType

from livery.errors import OutputError

_MANIFEST = ".livery-files.json"


def write_whole(path: Path, data: bytes | str) -> None:
    r"""Write a file so that a failure leaves any earlier file untouched.

    Args:
        path: where to write; folders are made as needed.
        data: the whole content; text is written as UTF-8 with ``\n`` line ends.

    Raises:
        OutputError: the place cannot be written.
    """
    content = data.encode("utf-8") if isinstance(data, str) else data
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except OSError as error:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
        raise _cannot_write(path, error) from error


class StagedFolder:
    """A folder of outputs that appears all at once when the work succeeds.

    Inside the ``with`` block files go to ``self.path``, a hidden folder beside the target. On
    success each is renamed into the target, and files that an earlier run made and this run did
    not are removed; files that livery did not make are never touched. On an error the staging
    folder is dropped and the target is as it was.

    Args:
        target: the folder to fill; made if absent.

    Raises:
        OutputError: the place cannot be written.
    """

    def __init__(self, target: Path) -> None:
        self.target = target
        self.path = target

    def __enter__(self) -> StagedFolder:
        try:
            self.target.mkdir(parents=True, exist_ok=True)
            self.path = Path(tempfile.mkdtemp(dir=self.target, prefix=".staging-"))
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
        except OSError as failure:
            raise _cannot_write(self.target, failure) from failure
        finally:
            shutil.rmtree(self.path, ignore_errors=True)

    def _publish(self) -> None:
        made = sorted(p.relative_to(self.path) for p in self.path.rglob("*") if p.is_file())
        for name in made:
            place = self.target / name
            place.parent.mkdir(parents=True, exist_ok=True)
            (self.path / name).replace(place)
        for name in _earlier_files(self.target) - set(made):
            (self.target / name).unlink(missing_ok=True)
        listing = {
            name.as_posix(): hashlib.sha256((self.target / name).read_bytes()).hexdigest()
            for name in made
        }
        write_whole(self.target / _MANIFEST, json.dumps(listing, indent=1) + "\n")


def _earlier_files(target: Path) -> set[Path]:
    """Files an earlier run made here and that are still as it made them."""
    try:
        listing = json.loads((target / _MANIFEST).read_text("utf-8"))
    except (OSError, ValueError):
        return set()
    kept = set()
    for name, digest in listing.items() if isinstance(listing, dict) else ():
        path = (target / name).resolve()
        inside = path.is_relative_to(target.resolve())
        if inside and path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == digest:
            kept.add(Path(name))
    return kept


def _cannot_write(path: Path, error: OSError) -> OutputError:
    reason = error.strerror or type(error).__name__
    return OutputError(f"{path}: cannot be written ({reason}). Choose another folder, or free it.")
