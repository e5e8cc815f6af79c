"""What binds a stored capture to its photograph and its bat, and what was measured to itself."""

from __future__ import annotations

import json
from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from livery.capture.report import capture_digest
from livery.records import tables
from livery.records.canonical import canonical, sha256
from livery.records.ledger import Trouble

_COLUMNS = (tables.captures.c[name] for name in ("id", "key", "photo", "bat", "capture"))
_CAPTURES = sa.select(*_COLUMNS).order_by(tables.captures.c.id)
_AT_ONCE = 100  # captures held; workshop choice


def capture_key(text: str, photo: str, bat: str) -> str:
    """SHA-256 by which a capture is known.

    Args:
        text: the capture as stored, canonical JSON.
        photo: SHA-256 of its photograph.
        bat: what was photographed.
    """
    return sha256(canonical({"capture": text, "photo": photo, "bat": bat}))


def find_broken_seals(connection: Connection) -> Iterator[Trouble]:
    """Captures that are not what was entered: their words, photograph or bat.

    Where ``livery measure`` gave a capture its digest, that must fit as well.
    """
    stream = connection.execution_options(yield_per=_AT_ONCE)
    for number, key, photo, bat, text in stream.execute(_CAPTURES):
        if capture_key(text, photo, bat) != key or not _holds_its_digest(text):
            yield Trouble(0, f"capture {number} was changed since it was kept. Restore a backup")


def _holds_its_digest(text: str) -> bool:
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(data, dict) and data.get("digest") in (None, "", capture_digest(data))
