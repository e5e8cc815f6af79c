"""What may be kept as evidence of a bat."""

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from livery.capture import capture_to_json
from livery.capture.model import Capture
from livery.errors import InputError
from livery.jobs.recordkeeping import keep_measured
from livery.records.history import Occasion
from livery.records.store import Store


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store(tmp_path / "records")
    yield opened
    opened.close()


def keep(store: Store, picture: bytes, bat: str, target: str = "t") -> int:
    source = hashlib.sha256(picture).hexdigest()
    capture = Capture("kit.jpg", target, (), (), None, 5.0, 0.1, absolute=True, source=source)
    assert capture_to_json(capture)["source"] == source
    occasion = Occasion(bat, "", "", "2027-01-20")
    return keep_measured(store, ("kit.jpg", picture), capture, (), occasion).number


def test_one_photograph_is_evidence_of_one_bat(store: Store) -> None:
    picture = b"\xff\xd8\xff one"
    assert keep(store, picture, "Q-101") == 1
    assert keep(store, picture, "Q-101") == 1
    assert keep(store, picture, "Q-101", "measured otherwise") == 2
    with pytest.raises(InputError, match="kept already, as capture 1 of Q-101"):
        keep(store, picture, "Q-102")
    assert keep(store, b"\xff\xd8\xff two", "Q-102") == 3
