"""Keys as parts of file names."""

from __future__ import annotations

import re


def file_stem(key: str) -> str:
    """A key as part of a file name: letters, digits, dot, dash, underscore; not hidden."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", key).strip(".-") or "order"
