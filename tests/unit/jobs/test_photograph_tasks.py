"""Photographs travel as bytes; whoever measures them, what is written is the same."""

from pathlib import Path

import pytest

from livery.capture import make_target, with_measured, write_target
from livery.crew.cores import Cores
from livery.errors import PhotographError
from livery.jobs.photograph_tasks import Setting, measure_bytes, measure_photographs, read_setting
from livery.jobs.photographs import measure_photograph
from livery.rehearsal import Camera, Light, Pose, make_scene, render, write_photograph


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a target and two photographs of it."""
    folder = tmp_path_factory.mktemp("bench")
    target, _ = make_target("card", None)
    target = with_measured(target, {patch.name: patch.lab for patch in target.patches})
    write_target(target, folder / "target.toml")
    for seed in (1, 2):
        camera = Camera(width_px=900, height_px=1200)
        photo = render(make_scene(target), camera, Light("D50"), Pose(tilt_deg=6.0 * seed), seed)
        write_photograph(photo, folder / f"photo-{seed}")
    return folder


def photos_of(bench: Path) -> list[Path]:
    return sorted(path for path in bench.glob("photo-*") if path.suffix != ".json")


def setting_of(bench: Path) -> Setting:
    return read_setting(str(bench / "target.toml"), None, None)


def test_shared_out_or_not_the_files_are_those_of_one_alone(bench: Path, tmp_path: Path) -> None:
    photos, setting = photos_of(bench), setting_of(bench)
    measure_photographs(photos, setting, tmp_path / "here")
    measure_photographs(photos, setting, tmp_path / "cores", Cores(2))
    for photo in photos:
        measure_photograph(photo, str(bench / "target.toml"), None, None, tmp_path / "alone")
    folders = [tmp_path / name for name in ("here", "cores", "alone")]
    here, *others = ({p.name: p.read_bytes() for p in folder.iterdir()} for folder in folders)
    assert len(here) == 4
    assert others == [here, here]


def test_what_is_no_photograph_is_named_as_it_was_given(bench: Path) -> None:
    with pytest.raises(PhotographError) as caught:
        measure_bytes("bat 7.jpg", b"no photograph", setting_of(bench), False)
    assert {fault.file for fault in caught.value.faults} == {"bat 7.jpg"}
    with pytest.raises(PhotographError, match=r"absent.jpg"):
        measure_photographs([Path("absent.jpg")], setting_of(bench))


def test_photographs_of_one_name_are_not_written_over_each_other(
    bench: Path, tmp_path: Path
) -> None:
    twice = [tmp_path / "a" / "x.jpg", tmp_path / "b" / "x.jpg"]
    with pytest.raises(PhotographError, match="would be called as those of"):
        measure_photographs(twice, setting_of(bench), tmp_path / "out")


def test_a_copy_of_an_earlier_photograph_is_no_second_evidence(bench: Path, tmp_path: Path) -> None:
    first, other = photos_of(bench)
    copy = tmp_path / f"copy{first.suffix}"
    copy.write_bytes(first.read_bytes())
    captures = measure_photographs([first, other, copy], setting_of(bench))
    failed = [{gate.gate for gate in one.gates if not gate.ok} for one in captures]
    assert [("duplicate" in gates) for gates in failed] == [False, False, True]
    advice = next(gate.advice for gate in captures[2].gates if gate.gate == "duplicate")
    assert str(first) in advice
