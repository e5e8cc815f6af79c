"""A season is read whole, or every fault of it is named at once."""

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest

from livery.errors import Fault, SeasonError
from livery.scheme import bat_sizes, load_season
from livery.scheme.model import (
    Along,
    Hand,
    ItemKind,
    Role,
    ScalesWith,
)

Write = Callable[..., Path]
Faults = Callable[[Path], dict[str, Fault]]


def test_a_season_becomes_values(write_season: Write) -> None:
    scheme = load_season(write_season())
    assert scheme.name == "Short"
    assert scheme.rule_books == ("laws",)
    assert scheme.profile.bleed_mm == 2.0
    assert scheme.profile.gap_mm == 3.0
    (bat,) = scheme.bats
    assert bat.dims[0].spine_height == 58.0
    assert bat.dims[0].width == bat_sizes()["harrow"].width
    assert "season.toml: spine_height" in bat.dims[0].source
    assert bat.dims[1] == bat_sizes()["size-5"]
    (gloves,) = scheme.soft_kit
    assert (gloves.kind, gloves.panels[0].ink) == (ItemKind.GLOVE, "tarn")
    (decal,) = scheme.decals
    assert (decal.role, decal.width_mm) == (Role.IDENTIFICATION, 58.0)
    assert decal.text == (("player", "{player}"),)
    assert decal.artwork.is_file()
    (placement,) = scheme.placements
    assert (placement.y_mm, placement.x_mm) == (101.6, 0.0)
    assert (placement.along, placement.scales_with) == (Along.DATUM, ScalesWith.NOTHING)
    (order,) = scheme.orders
    assert order.hand is Hand.LEFT
    assert order.weight_g == pytest.approx(41 * 28.349523125)
    assert order.items == (("sedge", "harrow"), ("mitts", "men"))


def test_digests_name_every_file_read(write_season: Write) -> None:
    path = write_season()
    digests = dict(load_season(path).digests)
    assert set(digests) == {"season.toml", "inks.toml", "heron.svg"}
    for name, digest in digests.items():
        assert digest == hashlib.sha256((path.parent / name).read_bytes()).hexdigest()


def test_the_demo_season_is_read(demo_season: Path) -> None:
    scheme = load_season(demo_season)
    assert scheme.bats[0].sizes == ("short-handle", "harrow", "size-5")
    assert scheme.bats[0].dims[0].spine_height == 62.0
    assert len(scheme.decals) >= 8
    assert {order.hand for order in scheme.orders} == {Hand.LEFT, Hand.RIGHT}
    assert {ink.key for ink in scheme.palette.inks} >= {"tarn", "ember", "chalk", "reed", "pitch"}


def test_a_season_needs_no_more_than_a_name_and_a_palette(write_season: Write) -> None:
    scheme = load_season(write_season('season = "Bare"\npalette = "inks.toml"\n'))
    assert (scheme.bats, scheme.orders, scheme.master_size) == ((), (), "")


def test_the_first_size_is_master_unless_said(write_season: Write, season_text: str) -> None:
    text = season_text.replace('master_size = "harrow"\n', "")
    assert load_season(write_season(text)).master_size == "harrow"


def test_season_tolerances_outrank_the_palettes(write_season: Write, season_text: str) -> None:
    text = season_text + "[tolerances]\ninks.ember = 1.25\n"
    text += '[[tolerances.pairs]]\nbetween = ["bat", "mesh"]\ntolerance = 3.0\n'
    scheme = load_season(write_season(text))
    assert [ink.tolerance_de00 for ink in scheme.palette.inks] == [2.0, 1.25]
    assert scheme.tolerances.pairs[0].between == ("bat", "mesh")


def test_every_fault_is_named_at_once(write_season: Write, faults_of: Faults) -> None:
    season = """\
season = ""
palete = "inks.toml"
palette = "inks.toml"
date = "18/01/2027"
[[bats]]
key = "sedge"
name = "Sedge"
sizes = ["harrow", "size-9"]
[[decals]]
key = "heron"
name = "Heron"
artwork = "missing.svg"
width = "58 furlongs"
role = "advert"
thickness = nan
[[placements]]
key = "p"
decal = "herron"
item = "sedge"
surface = "edge_left"
y = -inf
[[orders]]
key = "../Q"
player = "A"
hand = "both"
weight = "2 stone"
items = [
  { item = "sedge", size = "harrow" },
  { item = "sedge", size = "harow" },
]
"""
    palette = 'name = "P"\nsource = "s"\n[[inks]]\nkey = "tarn"\nname = "All"\nlab = [270, 0, 0]\n'
    places = {
        (Path(fault.file).name, fault.place, fault.line)
        for fault in faults_of(write_season(season, palette)).values()
    }
    assert places == {
        ("season.toml", "season", 1),
        ("season.toml", "palete", 2),
        ("season.toml", "date", 4),
        ("season.toml", "bats[0].sizes[1]", 8),
        ("season.toml", "decals[0].artwork", 12),
        ("season.toml", "decals[0].width", 13),
        ("season.toml", "decals[0].role", 14),
        ("season.toml", "decals[0].thickness", 15),
        ("season.toml", "placements[0].decal", 18),
        ("season.toml", "placements[0].surface", 20),
        ("season.toml", "placements[0].y", 21),
        ("season.toml", "orders[0].key", 23),
        ("season.toml", "orders[0].hand", 25),
        ("season.toml", "orders[0].weight", 26),
        ("season.toml", "orders[0].items[1].size", 29),
        ("inks.toml", "inks[0].name", 5),
        ("inks.toml", "inks[0].lab", 6),
    }


TABS_AND_BLOCKS = 'peel_tab = "8 mm"\nthrough_cut = "sheet"'
TABS_AND_FRAME = "peel_tab = 8\nweeding_margin = 5"
FRAME_AND_KITS = 'weeding_margin = 5\nthrough_cut = "kits"'
SPOILT = [
    ('name = "Sedge"', 'nmae = "Sedge"', "bats[0].nmae", "'nmae'", "'name'"),
    ('surface = "face"', 'surface = "fase"', "placements[0].surface", "'fase'", "'face'"),
    ('surface = "face"', 'surface = "cuff"', "placements[0].surface", "bat", "edge-left"),
    ('decal = "heron"', 'decal = "hern"', "placements[0].decal", "'hern'", "'heron'"),
    ('item = "sedge"\n', 'item = "sage"\n', "placements[0].item", "'sage'", "'sedge'"),
    ('panel = "cuff"', 'panel = "cuf"', "gloves[0].panels[0].panel", "'cuf'", "'cuff'"),
    ('ink = "tarn"', 'ink = "tran"', "gloves[0].panels[0].ink", "'tran'", "'tarn'"),
    ('size = "men"', 'size = "man"', "orders[0].items[1].size", "'man'", "'men'"),
    ('size = "harrow" ', 'size = "size-4" ', "orders[0].items[0].size", "'size-4'", "size-5"),
    ('item = "mitts"', 'item = "mits"', "orders[0].items[1].item", "'mits'", "'mitts'"),
    ('key = "mitts"', 'key = "sedge"', "gloves[0].key", "is taken on line 10", "own"),
    ("dims.harrow", "dims.harow", "bats[0].dims.harow", "'harow'", "'harrow'"),
    ("spine_height", "spine_hight", "bats[0].dims.harrow.spine_hight", "spine_hight", "'spine_h"),
    ('"58 mm"\n\n', '"20 mm"\n\n', "bats[0].dims.harrow.spine_height", "edge_thick", "its unit"),
    ('"58 mm"\n\n', '"-3 mm"\n\n', "bats[0].dims.harrow.spine_height", "'-3 mm'", "greater than 0"),
    ('master_size = "harrow"', 'master_size = "size-6"', "master_size", "'size-6'", "sizes"),
    ('rules = ["laws"]', 'rules = ["laws", "laws"]', "rules[1]", "twice", "Remove"),
    ('rules = ["laws"]', 'rules = ["own/x.toml"]', "rules[0]", "no file", "season's folder"),
    ('bleed = "2 mm"', 'bleed = "2 mn"', "print.bleed", "'mn'", "mm"),
    ('bleed = "2 mm"', "bleed = true", "print.bleed", "true or false", "mm"),
    ('bleed = "2 mm"', 'margin = "170 mm"', "print.stock_width", "170", "margin"),
    ('bleed = "2 mm"', 'white_name = "tarn"', "print.white_name", "'tarn'", "own"),
    ('bleed = "2 mm"', 'cut_name = "Black"', "print.cut_name", "process ink", "another name"),
    ('bleed = "2 mm"', "most_ink = 300", "print.most_ink", "300", "4"),
    ('bleed = "2 mm"', 'through_cut = "kit"', "print.through_cut", "'kit'", "'kits'"),
    ('bleed = "2 mm"', TABS_AND_BLOCKS, "print.peel_tab", "cut the same liner", "one of"),
    ('bleed = "2 mm"', TABS_AND_FRAME, "print.weeding_margin", "cut out", "peel_tab"),
    ('bleed = "2 mm"', FRAME_AND_KITS, "print.weeding_margin", "already", "sheet"),
    ('bleed = "2 mm"', "weeding_margin = 1.5", "print.weeding_margin", "bleed of 2 mm", "wider"),
    ('bleed = "2 mm"', "peel_tab = -1", "print.peel_tab", "-1", "0"),
    ('bleed = "2 mm"', 'trap = "20 mm"', "print.trap", "20", "equal to 2"),
    ('bleed = "2 mm"', "white_choke = 50", "print.white_choke", "50", "equal to 5"),
    ('bleed = "2 mm"', "cutter_pitch = 8", "print.cutter_pitch", "every 8 mm", "at least 20 mm"),
    ('bleed = "2 mm"', "price_plate = -1", "print.price_plate", "-1", "0"),
    ('bleed = "2 mm"', 'output_condition = "FOGRA"', "print.output_condition", "FOGRA", "39L"),
    ('bleed = "2 mm"', 'inks.tran = "process"', "print.inks.tran", "'tran'", "'tarn'"),
    ('bleed = "2 mm"', 'inks.tarn = "cmyk"', "print.inks.tarn", "'cmyk'", "process"),
    ('"{player}"', '"{surname}"', "decals[0].text.player", "surname", "{player}"),
    ('"{player}"', '"{player!r}"', "decals[0].text.player", "player", "{weight}"),
    ('"{player}"', '"{player"', "decals[0].text.player", "{player", "{number}"),
    ('"2 lb 9 oz"', "-1160", "orders[0].weight", "-1160", "2 lb 9 oz"),
    ('"2 lb 9 oz"', "inf", "orders[0].weight", "inf", "grams"),
    ('hand = "left"', 'hand = "lefft"', "orders[0].hand", "'lefft'", "'left'"),
    ('hand = "left"', "hand = 1", "orders[0].hand", "1", "left"),
    ("items = [\n", 'quantity = "2"\nitems = [\n', "orders[0].quantity", "'2'", "whole number"),
    ("items = [\n", "quantity = 0\nitems = [\n", "orders[0].quantity", "0", "greater than"),
    ('player = "Tamsin Orrowby"', 'player = "A\\u0007"', "orders[0].player", "U+0007", "line"),
    ('artwork = "heron.svg"', 'artwork = "."', "decals[0].artwork", "plain file", "SVG"),
    ('artwork = "heron.svg"', 'artwork = "\\u0000"', "decals[0].artwork", "U+0000", "ordinary"),
    ('y = "4 in"', 'y = "4 in"\nalong = "heel"', "placements[0].along", "'heel'", "toe"),
    ('y = "4 in"', 'y = "1e300 mm"', "placements[0].y", "1e300", "mm"),
    ('y = "4 in"\n', "", "placements[0].y", "missing", "Add y"),
    ('width = "58 mm"\n', "", "decals[0].width", "missing", "a length"),
    ('hand = "left"\n', "", "orders[0].hand", "missing", "right or left"),
    ('{ item = "mitts", size = "men" }', '"mitts"', "orders[0].items[1]", "table", "{ item = "),
    ('y = "4 in"', 'y = "4 in"\nrotation = nan', "placements[0].rotation", "nan", "number"),
    ('width = "58 mm"', "width = 58\nmay_mirror = true", "decals[0].may_mirror", "backw", "false"),
    ('[[bats]]\nkey = "sedge"', '[[bats]]\nkey = "a b"', "bats[0].key", "'a b'", "letters"),
]


@pytest.mark.parametrize(("good", "bad", "place", "found", "mend"), SPOILT)
def test_each_fault_says_where_what_and_how(
    check_fault: Callable[..., None],
    season_text: str,
    good: str,
    bad: str,
    place: str,
    found: str,
    mend: str,
) -> None:
    check_fault(season_text, good, bad, place, found, mend)


def test_a_needed_key_that_is_misspelt_is_one_fault(
    write_season: Write, season_text: str, faults_of: Faults
) -> None:
    path = write_season(season_text.replace("thickness =", "thicknes ="))
    ((place, fault),) = faults_of(path).items()
    assert place.endswith("thicknes")
    assert fault.mend == "Did you mean 'thickness'?"


def test_lines_are_exact(write_season: Write, season_text: str, faults_of: Faults) -> None:
    text = season_text.replace('size = "men"', 'size = "man"')
    (fault,) = faults_of(write_season(text)).values()
    assert text.splitlines()[(fault.line or 0) - 1].strip() == '{ item = "mitts", size = "man" },'


def test_a_length_that_leaves_handle_and_blade_apart_is_refused(
    write_season: Write, season_text: str, faults_of: Faults
) -> None:
    text = season_text.replace('spine_height = "58 mm"', 'blade_length = "560 mm"')
    (fault,) = faults_of(write_season(text)).values()
    assert fault.place == "bats[0].dims.harrow.overall_length"
    assert "846 mm" in fault.found and "832 mm" in fault.found
    assert "exposed_handle = 272" in fault.mend


def test_faults_of_the_palette_come_with_the_seasons(
    write_season: Write, season_text: str, palette_text: str, faults_of: Faults
) -> None:
    season = season_text.replace('hand = "left"', 'hand = "both"')
    palette = palette_text.replace('key = "ember"', 'key = "tarn"')
    files = [Path(fault.file).name for fault in faults_of(write_season(season, palette)).values()]
    assert files == ["season.toml", "inks.toml"]


@pytest.mark.parametrize("palette", ["nowhere.toml", ".", "/dev/null"])
def test_a_palette_that_is_no_file_is_the_seasons_fault(
    write_season: Write, season_text: str, palette: str, faults_of: Faults
) -> None:
    text = season_text.replace('"inks.toml"', f'"{palette}"')
    (fault,) = faults_of(write_season(text)).values()
    assert (fault.place, fault.line) == ("palette", 2)


def test_a_palette_that_is_no_toml_is_the_palettes_fault(
    write_season: Write, faults_of: Faults
) -> None:
    (fault,) = faults_of(write_season(palette='name = "x\n')).values()
    assert (Path(fault.file).name, fault.line) == ("inks.toml", 1)


@pytest.mark.parametrize("value", ['"2027-02-30"', '"20270118"', "2027-01-18T10:00:00", "2027"])
def test_dates_are_iso(
    write_season: Write, season_text: str, value: str, faults_of: Faults
) -> None:
    (fault,) = faults_of(write_season(f"date = {value}\n{season_text}")).values()
    assert (fault.place, fault.line) == ("date", 1)


@pytest.mark.parametrize("value", ['"2027-01-18"', "2027-01-18"])
def test_a_date_may_be_text_or_tomls_own(write_season: Write, season_text: str, value: str) -> None:
    assert load_season(write_season(f"date = {value}\n{season_text}")).date == "2027-01-18"


def test_a_finishs_tolerance_outranks_the_palette_and_yields_to_an_ink(
    write_season: Write, season_text: str, palette_text: str
) -> None:
    text = season_text + "[tolerances]\ndefault = 2.4\nfinishes.satin = 1.75\ninks.ember = 1.25\n"
    palette = palette_text.replace(
        'name = "Tarn"', 'name = "Tarn"\nfinish = "satin"\ntolerance = 3'
    )
    palette += '[[inks]]\nkey = "chalk"\nname = "Chalk"\nlab = [93, 0, 3]\nfinish = "matt"\n'
    scheme = load_season(write_season(text, palette))
    tolerances = {ink.key: ink.tolerance_de00 for ink in scheme.palette.inks}
    assert tolerances == {"tarn": 1.75, "ember": 1.25, "chalk": 2.4}
    with pytest.raises(SeasonError, match="finishes"):
        load_season(write_season(season_text + "[tolerances]\nfinishes.shiny = 1.75\n"))
