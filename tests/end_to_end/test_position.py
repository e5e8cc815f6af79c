"""``livery position``, and ``livery measure`` with regions named from the layout, between rails."""

import json

import pytest
from targets import measured_target

from livery.capture import write_target
from livery.capture.target_layout import TargetKind, form_of
from livery.geometry import Affine
from livery.jobs.demonstration import demo_season
from livery.jobs.layout_choice import Choice, choose_layout
from livery.rehearsal import Camera, Light, Pose, render
from livery.rehearsal.face import Slip, face_scene

SEASON = demo_season()


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A folder with rails and a photograph of the demo's bat, its badge moved."""
    folder = tmp_path_factory.mktemp("bench")
    scheme, layout = choose_layout(Choice(SEASON))
    target = measured_target("rails", scheme.palette)
    write_target(target, folder / "rails.toml")
    window = form_of(TargetKind.RAILS).window_mm
    slips = {"heron-face": Slip(2.0, -1.0, 1.5)}
    place = Affine.translation(90.5, 27.0)
    scene = face_scene(target, window, layout, scheme.palette, place, slips)
    camera = Camera(width_px=1500, height_px=2000)
    photo = render(scene, camera, Light("D50", uneven=0.1), Pose(tilt_deg=8.0), 3)
    (folder / "bat.jpg").write_bytes(photo.data)
    return folder


def test_positions_come_as_data_and_pictures(run, bench):
    words = ("--target", "rails.toml", "--layout", SEASON, "--json", "-o", "out")
    done = run("position", "bat.jpg", *words, folder=bench)
    assert done.returncode == 1, done.stderr
    found = json.loads(done.stdout)
    decals = {one["placement"]: one for one in found["decals"]}
    heron = decals["heron-face"]
    assert heron["standing"] == "moved" and decals["reed-band-face"]["standing"] == "in place"
    assert heron["offset"]["dx_mm"] == pytest.approx(2.0, abs=0.3)
    assert heron["offset"]["turn_deg"] == pytest.approx(1.5, abs=0.2)
    assert found["findings"] and found["blade"]["width_mm"] == pytest.approx(107.0, abs=1.0)
    for what in ("position", "difference"):
        assert (bench / "out" / f"bat.{what}.png").read_bytes().startswith(b"\x89PNG")


def test_positions_are_shown_as_a_table(run, bench):
    words = ("--target", "rails.toml", "--layout", SEASON, "--tolerance-mm", "4")
    done = run("position", "bat.jpg", *words, "--tolerance-deg", "3", folder=bench)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "across mm" in done.stdout and "+2.0" in done.stdout
    assert "Umpires" in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_inks_are_measured_by_name_without_a_regions_file(run, bench):
    words = ("--target", "rails.toml", "--layout", SEASON, "--json")
    done = run("measure", "bat.jpg", *words, folder=bench)
    names = {sample["name"] for sample in json.loads(done.stdout)["samples"]}
    assert {"heron-face tarn", "heron-face ember", "reed-band-face tarn"} <= names


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--item", "sparrow"), "sedge"),
        (("--size", "size-9"), "short-handle"),
        (("--order", "Q-999"), "Q-101"),
        (("--surface", "back"), "not flat"),
        (("--left", "a,b c,d", "--right", "1,2 3,4", "--grip", "5,6"), "--left"),
    ],
)
def test_what_is_not_there_is_named_with_what_is(run, bench, words, told):
    given = ("--target", "rails.toml", "--layout", SEASON)
    done = run("position", "bat.jpg", *given, *words, folder=bench)
    assert done.returncode == 2
    assert told in done.stderr and "Traceback" not in done.stderr


def test_a_target_that_tells_no_place_asks_for_one(run, bench):
    words = ("--target", "rendition-24", "--layout", SEASON)
    done = run("measure", "bat.jpg", *words, folder=bench)
    assert done.returncode == 2 and "--place" in done.stderr
