import json

import pytest
from sheets import areas_on

from livery.errors import InputError
from livery.sheet import Nesting, make_sheets
from livery.sheet.inspection import least_gap_mm


@pytest.fixture(scope="module")
def orders(shop):
    return [shop.layout("Q-1", "A"), shop.layout("Q-2", "B")]


@pytest.fixture(scope="module")
def searched(shop, orders):
    return make_sheets(shop.scheme(), orders, Nesting(search_seconds=1))


def test_search_keeps_the_gap_and_every_decal(searched):
    assert sum(len(s.items) for s in searched.sheets) == 10
    for sheet in searched.sheets:
        assert least_gap_mm(areas_on(searched, sheet)) >= 4.0


def test_kept_placements_give_the_same_run(shop, orders, searched):
    text = searched.placements
    again = make_sheets(shop.scheme(), orders, Nesting(search_seconds=1, kept=text))
    assert again.content_hash == searched.content_hash
    assert again.notes == ()


def test_another_name_on_the_same_outline_takes_the_kept_place(shop, orders, searched):
    renamed = [shop.layout("Q-1", "C"), orders[1]]
    options = Nesting(search_seconds=1, kept=searched.placements)
    again = make_sheets(shop.scheme(), renamed, options)
    assert again.notes == ()
    assert again.placements == searched.placements
    assert again.content_hash != searched.content_hash
    places = [[item.affine for item in sheet.items] for sheet in searched.sheets]
    assert [[item.affine for item in sheet.items] for sheet in again.sheets] == places


def test_kept_placements_of_other_decals_are_left_aside(shop, orders, searched):
    other = make_sheets(shop.scheme(), orders[:1], Nesting(kept=searched.placements))
    assert "other decals" in other.notes[0]
    assert sum(len(s.items) for s in other.sheets) == 5


def test_spoilt_placements_are_not_printed(shop, orders, searched):
    content = json.loads(searched.placements)
    content["sheets"][0][0][1:3] = content["sheets"][0][1][1:3]
    run = make_sheets(shop.scheme(), orders, Nesting(search_seconds=1, kept=json.dumps(content)))
    assert "soundly" in run.notes[0]
    content["sheets"].append([])
    run = make_sheets(shop.scheme(), orders, Nesting(search_seconds=1, kept=json.dumps(content)))
    assert "soundly" in run.notes[0]
    content["sheets"][0].pop()
    run = make_sheets(shop.scheme(), orders, Nesting(search_seconds=1, kept=json.dumps(content)))
    assert "soundly" in run.notes[0]


def test_kept_placements_that_do_not_say_of_what_are_left_aside(shop, orders):
    run = make_sheets(shop.scheme(), orders, Nesting(kept='{"format": 3, "request": 3}'))
    assert "other decals" in run.notes[0]


@pytest.mark.parametrize("text", ["{", "[]", '{"format": 3}', "7"])
def test_a_file_that_holds_no_placements_is_refused(shop, orders, text):
    with pytest.raises(InputError, match="kept placements"):
        make_sheets(shop.scheme(), orders, Nesting(kept=text))


def test_kits_kept_together_say_that_no_search_was_made(shop, orders):
    run = make_sheets(shop.scheme(), orders, Nesting(search_seconds=1, kits_together=True))
    assert any("no search" in note for note in run.notes)
    assert not run.placements
    assert not make_sheets(shop.scheme(), orders, Nesting(kits_together=True)).notes
