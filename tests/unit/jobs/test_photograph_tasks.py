"""Photographs travel as bytes; whoever measures them, what is written is the same."""

from pathlib import Path

import pytest

from livery.crew.cores import Cores
from livery.errors import PhotographError
from livery.jobs.photograph_tasks import Setting, measure_bytes, measure_photographs
from livery.jobs.photographs import measure_photograph


def test_shared_out_or_not_the_files_are_those_of_one_alone(
    card_file: Path, setting: Setting, photographs: list[Path], tmp_path: Path
) -> None:
    measure_photographs(photographs, setting, tmp_path / "here")
    measure_photographs(photographs, setting, tmp_path / "cores", Cores(2))
    for photo in photographs:
        measure_photograph(photo, str(card_file), None, None, tmp_path / "alone")
    folders = [tmp_path / name for name in ("here", "cores", "alone")]
    here, *others = ({p.name: p.read_bytes() for p in folder.iterdir()} for folder in folders)
    assert len(here) == 4
    assert others == [here, here]


def test_what_is_no_photograph_is_named_as_it_was_given(setting: Setting) -> None:
    with pytest.raises(PhotographError) as caught:
        measure_bytes("bat 7.jpg", b"no photograph", setting, False)
    assert {fault.file for fault in caught.value.faults} == {"bat 7.jpg"}
    with pytest.raises(PhotographError, match=r"absent.jpg"):
        measure_photographs([Path("absent.jpg")], setting)


def test_photographs_of_one_name_are_not_written_over_each_other(
    setting: Setting, tmp_path: Path
) -> None:
    twice = [tmp_path / "a" / "x.jpg", tmp_path / "b" / "x.jpg"]
    with pytest.raises(PhotographError, match="would be called as those of"):
        measure_photographs(twice, setting, tmp_path / "out")


def test_a_copy_of_an_earlier_photograph_is_no_second_evidence(
    setting: Setting, photographs: list[Path], tmp_path: Path
) -> None:
    first, other = photographs
    copy = tmp_path / f"copy{first.suffix}"
    copy.write_bytes(first.read_bytes())
    captures = measure_photographs([first, other, copy], setting)
    failed = [{gate.gate for gate in one.gates if not gate.ok} for one in captures]
    assert [("duplicate" in gates) for gates in failed] == [False, False, True]
    advice = next(gate.advice for gate in captures[2].gates if gate.gate == "duplicate")
    assert str(first) in advice
