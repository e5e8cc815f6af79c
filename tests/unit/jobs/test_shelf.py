"""Photographs taken in by many at once; the oldest make room."""

from concurrent.futures import ThreadPoolExecutor
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from livery.crew.hands import Hands
from livery.jobs import shelf as room
from livery.jobs.photographs import find_target


def test_benches_that_make_room_at_once_do_not_disturb_each_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(room, "MOST_WAITING", 10)
    target = find_target("rendition-24")
    shelf = room.Shelf(tmp_path, Hands(8))

    def take_in(number: int) -> str:
        stream = BytesIO()
        Image.new("RGB", (80, 64)).save(stream, "JPEG", comment=f"photograph {number}".encode())
        return shelf.take_in(stream.getvalue(), "a.jpg", target).digest

    with ThreadPoolExecutor(8) as pool:
        digests = list(pool.map(take_in, range(60)))
    assert len(set(digests)) == 60
    assert len([path for path in tmp_path.rglob("*") if len(path.name) == 64]) == 10
    assert shelf.preview(digests[-1]).startswith(b"\xff\xd8\xff")
