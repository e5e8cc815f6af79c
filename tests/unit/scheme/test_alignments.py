"""Alignments and groups: read, or every fault of them named at once."""

from collections.abc import Callable
from pathlib import Path

import pytest

from livery.errors import Fault
from livery.scheme import load_season
from livery.scheme.model import Alignment, GroupSpec, Side

Write = Callable[..., Path]
Faults = Callable[[Path], dict[str, Fault]]

MORE = """
[[placements]]
key = "name-face"
decal = "heron"
item = "sedge"
surface = "face"
align_to = "heron-face"
side = "below"
gap = "4 mm"

[[placements]]
key = "number-face"
decal = "heron"
item = "sedge"
surface = "face"
align_to = "shoulder-line"
side = "below"
gap = "0.5 in"

[[placements]]
key = "flash-face"
decal = "heron"
item = "sedge"
surface = "face"
align_to = "centre-line"
side = "right"
y = "200 mm"

[[groups]]
key = "set"
placements = ["heron-face", "name-face"]
may_shrink_to = 0.7
may_slide = "5 mm"
"""


@pytest.fixture
def season(season_text: str) -> str:
    """The short season with alignments and a group."""
    return season_text.replace("[[orders]]", MORE + "\n[[orders]]", 1)


def test_they_become_values(write_season: Write, season: str) -> None:
    scheme = load_season(write_season(season))
    by_key = {spec.key: spec for spec in scheme.placements}
    assert by_key["heron-face"].align is None
    assert by_key["name-face"].align == Alignment("heron-face", Side.BELOW, 4.0)
    assert by_key["number-face"].align == Alignment("shoulder-line", Side.BELOW, 12.7)
    assert by_key["flash-face"].y_mm == 200.0
    assert scheme.groups == (GroupSpec("set", ("heron-face", "name-face"), 0.7, 5.0),)


NAME, NUMBER, FLASH = "placements[1]", "placements[2]", "placements[3]"
SPOILT = [
    ('side = "below"\ngap = "4 mm"', 'gap = "4 mm"', f"{NAME}.side", "missing", "below"),
    ('"below"\ngap = "4', '"on"\ngap = "4', f"{NAME}.side", "'on'", "above, below"),
    ('side = "right"', 'side = "below"', f"{FLASH}.side", "'below'", "on, left, right"),
    ('side = "right"', 'gap = "3 mm"', f"{FLASH}.gap", "gap", "side"),
    ('gap = "4 mm"', 'gap = "-4 mm"', f"{NAME}.gap", "-4", "greater than or equal to 0"),
    ('align_to = "heron-face"', 'align_to = ["a"]', f"{NAME}.align_to", "['a']", "letters"),
    ('side = "below"\ngap = "4', 'side = ["on"]\ngap = "4', f"{NAME}.side", "['on']", "on"),
    (
        'placements = ["heron-face", "name-face"]',
        "placements = 3",
        "groups[0].placements",
        "3",
        "[",
    ),
    ('side = "right"', 'x = "9 mm"', f"{FLASH}.x", "'x' is settled", "Remove x"),
    ('y = "200 mm"', "", f"{FLASH}.y", "missing", "Add y"),
    ('gap = "4 mm"', 'y = "4 mm"', f"{NAME}.y", "'y' is settled", "Remove y"),
    ('gap = "4 mm"', 'along = "toe"', f"{NAME}.along", "settled", "Remove along"),
    ('gap = "0.5 in"', 'may_slide = "3 mm"', f"{NUMBER}.may_slide", "settled", "Remove"),
    ('align_to = "heron-face"', 'align_to = "heron-fase"', f"{NAME}.align_to", "fase", "heron-f"),
    ('align_to = "heron-face"', 'align_to = "name-face"', f"{NAME}.align_to", "ring", "State"),
    ('align_to = "heron-face"', 'align_to = "number-face"', f"{NAME}.align_to", "group", "within"),
    ('y = "4 in"', 'y = "4 in"\nside = "below"', "placements[0].side", "without", "align_to"),
    ('"name-face"]', '"nam-face"]', "groups[0].placements[1]", "'nam-face'", "'name-face'"),
    ('"name-face"]', '"heron-face"]', "groups[0].placements[1]", "already", "once"),
    (
        '"heron-face", "name-face"]',
        '"heron-face"]',
        "groups[0].placements",
        "holds 1",
        "at least 2",
    ),
    ('"name-face"]', '"number-face"]', f"{NUMBER}.align_to", "keeps to the group", "State its y"),
    ('y = "4 in"', 'y = "4 in"\nmay_slide = 1', "placements[0].may_slide", "'set'", "group"),
    ('y = "4 in"', 'y = "4 in"\nscales_with = "width"', f"{NAME}.scales_with", "first", "one"),
    ('key = "set"', 'kye = "set"', "groups[0].kye", "unknown", "'key'"),
]


@pytest.mark.parametrize(("good", "bad", "place", "found", "mend"), SPOILT)
def test_each_fault_says_where_what_and_how(
    check_fault: Callable[..., None],
    season: str,
    good: str,
    bad: str,
    place: str,
    found: str,
    mend: str,
) -> None:
    check_fault(season, good, bad, place, found, mend)


def test_a_ring_of_three_is_one_fault(write_season: Write, faults_of: Faults, season: str) -> None:
    text = season.replace('y = "4 in"', 'align_to = "flash-face"\nside = "above"')
    text = text.replace('align_to = "centre-line"\nside = "right"\ny = "200 mm"', "#")
    text = text.replace("#", 'align_to = "name-face"\nside = "left"').partition("[[groups]]")[0]
    faults = faults_of(write_season(text))
    (fault,) = faults.values()
    assert "heron-face to flash-face to name-face to heron-face" in fault.found


def test_two_surfaces_cannot_keep_to_one_another(
    write_season: Write, faults_of: Faults, season: str
) -> None:
    text = season.replace('surface = "face"\nalign_to = "h', 'surface = "back"\nalign_to = "h')
    faults = faults_of(write_season(text))
    assert "'heron-face' is on 'face', this on 'back'" in faults[f"{NAME}.align_to"].found
    assert "one surface" in faults[f"{NAME}.surface"].mend


def test_sides_that_a_left_hander_swaps_are_mirrored_alike(
    write_season: Write, faults_of: Faults, season: str
) -> None:
    text = season.replace('surface = "face"', 'surface = "edge-left"')
    text = text.replace('gap = "4 mm"', "mirror_for_left = true").partition("[[groups]]")[0]
    assert "opposite sides" in faults_of(write_season(text))[f"{NAME}.mirror_for_left"].found


def test_only_a_bat_has_a_shoulder_line(
    write_season: Write, faults_of: Faults, season: str
) -> None:
    text = season.replace(
        'item = "sedge"\nsurface = "face"\nalign_to = "shoulder-line"',
        'item = "mitts"\nsurface = "cuff"\nalign_to = "shoulder-line"',
    )
    assert "only a bat" in faults_of(write_season(text))[f"{NUMBER}.align_to"].found
