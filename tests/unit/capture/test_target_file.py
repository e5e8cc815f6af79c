import math
from pathlib import Path

import numpy as np
import pytest

from livery.capture import (
    make_target,
    read_regions,
    read_target,
    with_measured,
    write_regions,
    write_target,
)
from livery.capture.model import Region
from livery.capture.target_file import spell_dictionary
from livery.errors import TargetError

GOOD = """width_mm = 100.0
height_mm = 50.0

[[markers]]
dictionary = "DICT_4X4_50"
id = 3
x_mm = 10.0
y_mm = 10.0
size_mm = 8.0

[[patches]]
name = "A1"
x_mm = 20.0
y_mm = 5.0
w_mm = 10.0
h_mm = 10.0
lab = [50.0, 1, -2.5]
measured = true
"""


def _write(tmp_path, text, name="target.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("kind", ["card", "rails", "chart"])
def test_a_target_survives_writing_and_reading(tmp_path, kind):
    target, _ = make_target(kind)
    target = with_measured(target, {target.patches[3].name: (math.pi * 10, -1 / 3, 1e-7)})
    write_target(target, tmp_path / "target.toml")
    assert read_target(tmp_path / "target.toml") == target


def test_names_that_need_escapes_survive(tmp_path):
    import dataclasses

    target, _ = make_target("card")
    patch = dataclasses.replace(target.patches[0], name='ember "dark" \\ é')
    odd = dataclasses.replace(target, patches=(patch, *target.patches[1:]))
    write_target(odd, tmp_path / "t.toml")
    assert read_target(tmp_path / "t.toml") == odd


def test_the_bare_contract_is_enough(tmp_path):
    target = read_target(_write(tmp_path, GOOD, "mine.toml"))
    assert target.key == "mine"
    assert target.patches[0].lab == (50.0, 1.0, -2.5)
    assert target.markers[0].id == 3


def test_every_fault_is_named_at_once_with_its_line(tmp_path):
    text = (
        GOOD.replace("DICT_4X4_50", "DICT_9X9")
        .replace("lab = [50.0, 1, -2.5]", "lab = [150.0, 1, -2.5]")
        .replace("x_mm = 20.0", "x_mm = 95.0")
    )
    with pytest.raises(TargetError) as caught:
        read_target(_write(tmp_path, text))
    faults = {fault.place: fault.line for fault in caught.value.faults}
    assert faults == {"markers[0].dictionary": 5, "patches[0].lab": 17, "patches[0]": 11}


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("id = 3", "id = 50", "markers[0].id"),
        ("id = 3", "id = -1", "markers[0].id"),
        ("id = 3", "idd = 3", "markers[0].idd"),
        ("w_mm = 10.0", "w_mm = 0", "patches[0].w_mm"),
        ("measured = true", 'measured = "yes"', "patches[0].measured"),
        ("lab = [50.0, 1, -2.5]", "lab = [50.0, 1]", "patches[0].lab"),
        ("lab = [50.0, 1, -2.5]", "lab = [nan, 1, 2]", "patches[0].lab[0]"),
        ("width_mm = 100.0", "", "width_mm"),
    ],
)
def test_a_wrong_value_is_named_with_its_place(tmp_path, old, new, place):
    with pytest.raises(TargetError) as caught:
        read_target(_write(tmp_path, GOOD.replace(old, new)))
    assert place in {fault.place for fault in caught.value.faults}
    assert all(fault.mend for fault in caught.value.faults)


def test_names_and_ids_given_twice_are_faults(tmp_path):
    patch = GOOD[GOOD.index("[[patches]]") :]
    marker = GOOD[GOOD.index("[[markers]]") : GOOD.index("[[patches]]")]
    with pytest.raises(TargetError) as caught:
        read_target(_write(tmp_path, GOOD + patch + marker))
    places = {fault.place for fault in caught.value.faults}
    assert {"patches[1].name", "markers[1].id"} <= places


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"[[patches", b"\x00" * 100])
def test_what_is_no_toml_is_one_clear_fault(tmp_path, content):
    path = tmp_path / "target.toml"
    path.write_bytes(content)
    with pytest.raises(TargetError):
        read_target(path)
    with pytest.raises(TargetError):
        read_regions(path)


def test_a_missing_file_is_a_fault(tmp_path):
    with pytest.raises(TargetError, match="no such file"):
        read_target(tmp_path / "none.toml")


REGION = '[[regions]]\nname = "badge"\nink = "tarn"\nitem = "bat"\n'


def test_regions_are_read_in_either_frame(tmp_path):
    text = REGION + "polygon_mm = [[0, 0], [10, 0], [10, 10.5]]\n"
    text += REGION.replace("badge", "cuff") + 'material = "leather"\n'
    text += "polygon_px = [[5, 5], [900, 5], [900, 700]]\n"
    one, two = read_regions(_write(tmp_path, text))
    assert (one.name, one.ink, one.item) == ("badge", "tarn", "bat")
    assert np.array_equal(one.polygon_mm, [[0, 0], [10, 0], [10, 10.5]])
    assert one.polygon_px is None
    assert (one.material, two.material) == ("", "leather")
    assert two.polygon_mm is None
    assert two.polygon_px.shape == (3, 2)


@pytest.mark.parametrize(
    "lines",
    [
        "",
        "polygon_mm = [[0, 0], [1, 0], [1, 1]]\npolygon_px = [[0, 0], [1, 0], [1, 1]]\n",
        "polygon_mm = [[0, 0], [1, 0]]\n",
        "polygon_mm = [[0, 0], [5, 5], [10, 10]]\n",
        "polygon_mm = [[0, 0], [5, inf], [10, 10]]\n",
        "polygon = [[0, 0], [5, 5], [10, 10]]\n",
    ],
)
def test_wrong_regions_are_refused(tmp_path, lines):
    with pytest.raises(TargetError):
        read_regions(_write(tmp_path, REGION + lines, "regions.toml"))


def test_a_region_given_twice_is_refused(tmp_path):
    region = REGION + "polygon_mm = [[0, 0], [1, 0], [1, 1]]\n"
    with pytest.raises(TargetError, match="given twice"):
        read_regions(_write(tmp_path, region + region))


@pytest.mark.parametrize(
    ("name", "spelt"),
    [
        ("DICT_4X4_50", "DICT_4X4_50"),
        ("4x4_50", "DICT_4X4_50"),
        ("aruco-5x5-100", "DICT_5X5_100"),
        ("apriltag_36H11", "DICT_APRILTAG_36h11"),
        ("tag36h11", "DICT_APRILTAG_36h11"),
        ("aruco original", "DICT_ARUCO_ORIGINAL"),
        ("4x4", None),
        ("", None),
    ],
)
def test_dictionaries_may_be_spelt_as_people_spell_them(name: str, spelt: str | None) -> None:
    assert spell_dictionary(name) == spelt


def test_regions_that_are_written_are_read_as_they_were(tmp_path: Path) -> None:
    corners = np.array([[1.0, 2.5], [30.25, 2.5], [30.25, 40.0]])
    regions = (
        Region('sword "blade"', "tarn", "bat", polygon_mm=corners, material="vinyl film"),
        Region("cuff", "ember", "glove", polygon_px=corners * 10.0),
    )
    path = tmp_path / "regions.toml"
    write_regions(regions, path)
    for written, read in zip(regions, read_regions(path), strict=True):
        assert (read.name, read.ink, read.item) == (written.name, written.ink, written.item)
        assert read.material == written.material
        for key in ("polygon_mm", "polygon_px"):
            np.testing.assert_array_equal(getattr(read, key), getattr(written, key))
