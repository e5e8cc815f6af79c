"""Stored photographs measured again say what they said, whoever measures them."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from livery.capture import capture_to_json
from livery.crew.cores import Cores
from livery.jobs.photograph_tasks import Setting, measure_bytes
from livery.jobs.photographs import capture_text
from livery.jobs.remeasuring import remeasure_records, write_captures
from livery.match import read_capture
from livery.records.history import Occasion, save_capture
from livery.records.store import Store


@pytest.fixture
def store(setting: Setting, photographs: list[Path], tmp_path: Path) -> Iterator[Store]:
    """Two captures of the target, one of another, and one whose photograph is then lost."""
    opened = Store(tmp_path / "records")
    for number, path in enumerate([*photographs, photographs[0], photographs[0]]):
        data = path.read_bytes() + b"\0" * max(0, number - 1)  # one photograph is kept once
        capture = capture_to_json(measure_bytes(path.name, data, setting, False)[0])
        capture |= {"target": "another"} if number == 2 else {}
        occasion = Occasion(f"o-{number}", "bench 1", "", "2027-01-20")
        save_capture(opened, data, path.name, capture, [], occasion)
    opened.evidence.path_of(str(capture["source"])).unlink()
    yield opened
    opened.close()


@pytest.mark.parametrize("crew", [None, Cores(2)])
def test_photographs_of_the_target_are_measured_again(
    crew, store, setting, photographs, tmp_path
) -> None:
    told = write_captures(remeasure_records(store, setting, crew=crew), tmp_path / "again")
    assert [one.number for one in told] == [1, 2, 4]
    assert "evidence is missing" in told[2].trouble and not told[2].ok
    for one, path in zip(told[:2], photographs, strict=True):
        new = (tmp_path / "again" / one.file_name).read_text("utf-8")
        known = capture_to_json(measure_bytes(path.name, path.read_bytes(), setting, False)[0])
        assert new == capture_text(known)
        assert one.ok == known["ok"]
        assert read_capture(tmp_path / "again" / one.file_name).photo == path.name
    assert len(list((tmp_path / "again").iterdir())) == 2


def test_one_bat_alone(store, setting, tmp_path) -> None:
    (one,) = remeasure_records(store, setting, "o-1")
    assert (one.number, one.bat) == (2, "o-1")
    assert json.loads(one.text)["target"] == setting.target.key
