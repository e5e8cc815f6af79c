"""What a season may say of a bat beyond its sizes: the form of its blade, its drawn outline."""

import pytest

from livery.errors import SeasonError
from livery.scheme import load_season

FORM = """[bats.dims.harrow]
hollow = -0.25
swell = 1.7
entry_share = 0.61
shoulder_power = 2.6
bow = "7 mm"
spine_offset = "-3.5 mm"
"""


@pytest.fixture
def with_form(season_text):
    return lambda form: season_text.replace("[bats.dims.harrow]\n", form, 1)


def test_the_form_of_a_blade_is_the_seasons_to_give(write_season, with_form):
    dims = load_season(write_season(with_form(FORM))).bats[0].dims[0]
    assert (dims.hollow, dims.swell, dims.entry_share) == (-0.25, 1.7, 0.61)
    assert (dims.shoulder_power, dims.bow, dims.spine_offset) == (2.6, 7.0, -3.5)
    assert "spine_offset" in dims.source


@pytest.mark.parametrize(
    ("line", "place"),
    [
        ("spine_offset = 27", "spine_offset"),
        ("spine_offset = -27", "spine_offset"),
        ("hollow = 1.5", "hollow"),
        ("swell = 0.5", "swell"),
        ("shoulder_power = 0", "shoulder_power"),
        ("entry_share = 0", "entry_share"),
        ("bow = 100", "bow"),
        (
            "blade_length = 90\nexposed_handle = 700\nshoulder_length = 30\ntoe_radius = 40",
            "blade_",
        ),
    ],
)
def test_a_form_that_makes_no_blade_is_a_fault_at_its_key(write_season, with_form, line, place):
    text = with_form(f"[bats.dims.harrow]\n{line}\n").replace('spine_height = "58 mm"', "")
    with pytest.raises(SeasonError) as caught:
        load_season(write_season(text))
    assert any(f"bats[0].dims.harrow.{place}" in fault.place for fault in caught.value.faults)


def test_an_outline_is_a_file_beside_the_season_and_is_digested(write_season, with_form):
    path = write_season(with_form('[bats.outlines]\nharrow = "blade.svg"\n[bats.dims.harrow]\n'))
    (path.parent / "blade.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
    scheme = load_season(path)
    assert scheme.bats[0].outlines == (("harrow", path.parent / "blade.svg"),)
    assert "blade.svg" in dict(scheme.digests)


@pytest.mark.parametrize(
    ("line", "place", "said"),
    [
        ('harrow = "none.svg"', "bats[0].outlines.harrow", "No such file"),
        ('harow = "heron.svg"', "bats[0].outlines.harow", "not among the sizes"),
        ("harrow = 3", "bats[0].outlines.harrow", "is not text"),
    ],
)
def test_an_outline_that_leads_nowhere_is_a_fault(write_season, with_form, line, place, said):
    path = write_season(with_form(f"[bats.outlines]\n{line}\n[bats.dims.harrow]\n"))
    with pytest.raises(SeasonError) as caught:
        load_season(path)
    assert [(f.place, said in f.found) for f in caught.value.faults] == [(place, True)]
