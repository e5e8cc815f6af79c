"""``target.toml``: what is written is read as it was, and every fault is named at once."""

import dataclasses
import math

import pytest

from livery.capture import make_target, read_target, with_measured, write_target
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
    assert places == {"patches[1].name", "markers[1].id"}


def test_a_marker_given_twice_in_two_spellings_is_a_fault(tmp_path):
    marker = GOOD[GOOD.index("[[markers]]") : GOOD.index("[[patches]]")]
    with pytest.raises(TargetError, match="marker 3 is given twice"):
        read_target(_write(tmp_path, GOOD + marker.replace("DICT_4X4_50", "aruco 4x4-50")))


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"[[patches", b"\x00" * 100])
def test_what_is_no_toml_is_one_clear_fault(tmp_path, content):
    path = tmp_path / "target.toml"
    path.write_bytes(content)
    with pytest.raises(TargetError) as caught:
        read_target(path)
    assert len(caught.value.faults) == 1


def test_a_missing_file_is_a_fault(tmp_path):
    with pytest.raises(TargetError, match="no such file"):
        read_target(tmp_path / "none.toml")
