"""What may be kept as evidence of a bat."""

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from livery.capture import capture_to_json
from livery.capture.model import Capture
from livery.errors import InputError
from livery.jobs.photographs import capture_text
from livery.jobs.recordkeeping import keep_capture, keep_measured
from livery.records.history import Occasion, read_captures, save_capture
from livery.records.looks import LookAlike
from livery.records.store import Store
from livery.scheme import load_season


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store(tmp_path / "records")
    yield opened
    opened.close()


def measured(picture: bytes, target: str = "t", look: str = "") -> Capture:
    source = hashlib.sha256(picture).hexdigest()
    return Capture(
        "kit.jpg", target, (), (), None, 5.0, 0.1, absolute=True, source=source, fingerprint=look
    )


def keep(store: Store, picture: bytes, bat: str, target: str = "t") -> int:
    occasion = Occasion(bat, "", "", "2027-01-20")
    capture = measured(picture, target)
    return keep_measured(store, ("kit.jpg", picture), capture, (), occasion).number


def test_one_photograph_is_evidence_of_one_bat(store: Store) -> None:
    picture = b"\xff\xd8\xff one"
    assert keep(store, picture, "Q-101") == 1
    assert keep(store, picture, "Q-101") == 1
    assert keep(store, picture, "Q-101", "measured otherwise") == 2
    with pytest.raises(InputError, match="kept already, as capture 1 of Q-101"):
        keep(store, picture, "Q-102")
    assert keep(store, b"\xff\xd8\xff two", "Q-102") == 3


def test_a_race_for_one_photograph_leaves_it_one_bats(store: Store) -> None:
    picture = b"\xff\xd8\xff one"
    data = capture_to_json(measured(picture))
    save_capture(store, picture, "kit.jpg", data, (), Occasion("Q-101", "", "", "2027-01-20"))
    with pytest.raises(InputError, match="kept already, as capture 1 of Q-101"):
        save_capture(store, picture, "kit.jpg", data, (), Occasion("Q-102", "", "", "2027-01-20"))


@pytest.mark.parametrize("held", [1, 500])
def test_a_copy_at_another_quality_is_told_and_still_kept(
    store: Store, monkeypatch: pytest.MonkeyPatch, held: int
) -> None:
    monkeypatch.setattr("livery.records.looks._BY_PARTS", {"yield_per": held})
    looks = ("07f3" * 64, "07f3" * 63 + "07f4", "7f30" * 64)
    kept = []
    for number, look in enumerate(looks, 1):
        picture, occasion = (
            b"\xff\xd8\xff %d" % number,
            Occasion(f"Q-{number}", "", "", "2027-01-20"),
        )
        capture = measured(picture, look=look)
        kept.append(keep_measured(store, ("a.jpg", picture), capture, (), occasion))
    assert [one.number for one in kept] == [1, 2, 3]
    assert [one.looks_like for one in kept] == [None, LookAlike(1, "Q-1"), None]


@pytest.mark.parametrize("look", ["é" * 256, "zebu" * 64])
def test_what_is_no_fingerprint_is_like_nothing_and_spoils_nothing(store: Store, look: str) -> None:
    occasion = Occasion("Q-1", "", "", "2027-01-20")
    for number, one in enumerate((look, look, "07f3" * 64)):
        picture = b"\xff\xd8\xff %d" % number
        kept = keep_measured(store, ("a.jpg", picture), measured(picture, look=one), (), occasion)
        assert kept.looks_like is None


def test_a_capture_changed_by_hand_is_not_kept(store: Store, demo_season: Path) -> None:
    scheme = load_season(demo_season)
    photo, file = demo_season.with_name("kit.jpg"), demo_season.with_name("kit.capture.json")
    photo.write_bytes(b"\xff\xd8\xff one")
    occasion = Occasion("Q-101", "", "", "2027-01-20")
    text = capture_text(capture_to_json(measured(photo.read_bytes())))
    file.write_text(text.replace('"absolute": true', '"absolute": false'), "utf-8")
    with pytest.raises(InputError, match="changed since it was measured"):
        keep_capture(scheme, store, photo, file, occasion)
    file.write_text(text, "utf-8")
    assert keep_capture(scheme, store, photo, file, occasion).number == 1


def test_samples_of_another_photograph_are_not_kept(store: Store, demo_season: Path) -> None:
    photo, file = demo_season.with_name("kit.jpg"), demo_season.with_name("kit.capture.json")
    photo.write_bytes(b"\xff\xd8\xff one")
    cov = [[0.1, 0.0, 0.0], [0.0, 0.1, 0.0], [0.0, 0.0, 0.1]]
    sample = {"name": "a", "lab": [50.0, 0.0, 0.0], "cov": cov, "pixels": 9, "source": "a" * 64}
    file.write_text(json.dumps({"samples": [sample]}), "utf-8")
    scheme, occasion = load_season(demo_season), Occasion("Q-101", "", "", "2027-01-20")
    with pytest.raises(InputError, match="not the photograph that was measured"):
        keep_capture(scheme, store, photo, file, occasion)


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("2027-01-18", "2027-01-18"),
        ("20270118", "2027-01-18"),
        ("2027-01-18T23:30", "2027-01-18T23:30:00"),
        ("2027-01-18T23:30:00-05:00", "2027-01-19T04:30:00+00:00"),
        ("2027-01-19T09:00:00+05:30", "2027-01-19T03:30:00+00:00"),
    ],
)
def test_dates_are_kept_in_an_order_that_is_times(store: Store, given: str, kept: str) -> None:
    picture = b"\xff\xd8\xff one"
    occasion = Occasion("Q-101", "", "", given)
    keep_measured(store, ("a.jpg", picture), measured(picture), (), occasion)
    assert [one["date"] for one in read_captures(store)] == [kept]
