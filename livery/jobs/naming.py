"""Keys as parts of file names."""

from __future__ import annotations

import re
from collections.abc import Iterable


def file_stem(key: str) -> str:
    """A key as part of a file name: letters, digits, dot, dash, underscore; not hidden."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", key).strip(".-") or "order"


def file_stems(keys: Iterable[str]) -> dict[str, str]:
    """A stem for each key, alike in no two, not even where a disk takes A for a."""
    stems: dict[str, str] = {}
    taken: set[str] = set()
    for key in keys:
        base = stem = file_stem(key)
        number = 1
        while stem.lower() in taken:
            number += 1
            stem = f"{base}-{number}"
        taken.add(stem.lower())
        stems[key] = stem
    return stems
