"""Outputs are whole or absent: write to a temporary name beside the target, then rename."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from livery.errors import OutputError


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
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except OSError as error:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
        raise OutputError(
            f"{path}: cannot be written ({error.strerror}). Choose another folder, or free it."
        ) from error
