"""Dictionaries of markers by the names that people give them."""

import pytest

from livery.capture.marker_dictionary import dictionary_names, spell_dictionary


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
def test_dictionaries_may_be_spelt_as_people_spell_them(name, spelt):
    assert spell_dictionary(name) == spelt


def test_each_dictionary_is_known_by_its_own_name():
    assert all(spell_dictionary(name) == name for name in dictionary_names())
