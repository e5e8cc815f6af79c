"""What people new to livery do to a season, and what they are told: where, what, and the mend."""

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from readers import check_clear

from livery.errors import LiveryError
from livery.jobs.photographs import find_target
from livery.jobs.survey import survey
from livery.limits.books import read_book
from livery.match import read_capture
from livery.scheme import palette_tables, season_tables
from livery.scheme.fields import Table
from livery.scheme.model import SURFACES, TEXT_FIELDS, ItemKind
from livery.scheme.sizes import panel_keys, size_keys

ROOT = Path(__file__).parents[2]
BEFORE_AFTER = {
    "a foot": ('"58 mm"', '"58 ft"', "unit 'ft' is not one of mm, cm", '"4.25 in"'),
    "a unit without quotes": ('"58 mm"', "58 mm", "not TOML", "stand in quotes"),
    "a decimal comma": ('"58 mm"', '"58,5 mm"', "'58,5 mm' is not a length", '"108 mm"'),
    "a negative width": ('"58 mm"', '"-58 mm"', "out of range", "greater than 0"),
    "metres": ('"84 mm"', '"84 m"', "out of range", "less than or equal to 5000"),
    "a file that is not there": ("heron.svg", "heroon.svg", "No such file", "Name an SVG file"),
    "a path of another system": ("s/heron.svg", "s\\\\heron.svg", "No such file", "path with /"),
    "a backslash alone": ("s/heron.svg", "s\\heron.svg", "Unescaped", "Write paths with /"),
    "a quote left open": ('n = "Reedlight"', 'n = "Reedlight', "not TOML", "Close the quotes"),
    "a decal for an item": ('= "sedge"\nsurf', '= "heron"\nsurf', "no item 'heron'", "sedge-pads"),
    "a surface misspelt": ('"face"', '"fase"', "no surface 'fase'", "Did you mean 'face'"),
    "a key twice": ('"Q-102"', '"Q-101"', "taken on line", "a key of its own"),
    "a size nobody knows": ('"size-5"]', '"size-55"]', "no bat size 'size-55'", "'size-5'"),
    "a tolerance as text": ("tolerance = 3.0", 'tolerance = "3"', "is not a number", "without"),
    "a date the other way": ("2027-01-18", "18/01/2027", "not an ISO date", "year-month-day"),
    "a hand in capitals": ('"right"', '"Right"', "not one of right or left", "'right'"),
    "no quantity": ("quantity = 2", "quantity = 0", "out of range", "greater than or equal to 1"),
    "kilograms": ('"2 lb 9 oz"', '"1.16 kg"', "is not a weight", '"1160 g"'),
    "a table twice": ("[tolerances]", "[print]\n[tolerances]", "declare [print] twice", "once"),
    "a wide blade": (
        'spine_height = "62 mm"',
        'width = "108 cm"',
        "1080.00 mm",
        "the blade_length",
    ),
    "a key misspelt": ("quantity = 2", "quanity = 2", "unknown key 'quanity'", "'quantity'"),
    "a key not in ASCII": ('y = "sedge"', 'y = "šedge"', "is not a key", "Use letters"),
    "a palette elsewhere": ("../palettes/", "", "no such file", "Check the path"),
    "a folder for a palette": ("/reedlight.toml", "", "this is a folder", "Name the TOML file"),
    "a book misspelt": ('["laws"', '["law"', "no rule book 'law'", "Did you mean 'laws'? Or"),
    "a list too short": ('"coated fabric", ', "", "holds 1", "Give at least 2"),
}


def told(act: Callable[[], object]) -> str:
    with pytest.raises(LiveryError) as caught:
        act()
    check_clear(caught.value)
    return str(caught.value)


@pytest.mark.parametrize("case", BEFORE_AFTER)
def test_a_season_changed_by_hand(case: str, demo_season: Path) -> None:
    before, after, found, mend = BEFORE_AFTER[case]
    text = demo_season.read_text("utf-8")
    assert before in text
    demo_season.write_text(text.replace(before, after, 1), "utf-8")
    words = told(lambda: survey(demo_season))
    assert found in words and mend in words
    assert re.match(rf"{re.escape(str(demo_season))}(:\d+)?: ", words)


@pytest.mark.parametrize(
    ("before", "after", "lines", "told_of"),
    [
        ('["short-handle", "h', '["short-handel", "h', 1, "no bat size 'short-handel'"),
        ('["short-handle", "h', '["short handle", "h', 1, "Did you mean 'short-handle'"),
        ('key = "sedge"', 'key = "sege"', 1, "'sege'? "),
        ('decal = "edge-run"', 'decal = "edgerun"', 1, "(also on line 2"),
    ],
)
def test_one_cause_is_told_once(
    before: str, after: str, lines: int, told_of: str, demo_season: Path
) -> None:
    text = demo_season.read_text("utf-8")
    demo_season.write_text(text.replace(before, after), "utf-8")
    words = told(lambda: survey(demo_season))
    assert told_of in words + " " and len(words.splitlines()) == lines


@pytest.mark.parametrize("surface", ["toe", "wrap", "handle", "both-edges"])
def test_a_decal_that_wraps_is_told_how_to_be_given(surface: str, demo_season: Path) -> None:
    text = demo_season.read_text("utf-8")
    demo_season.write_text(text.replace('"face"', f'"{surface}"', 1), "utf-8")
    words = told(lambda: survey(demo_season))
    assert "one decal for each surface" in words and "edge-left" in words


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("a PDF", b"%PDF-1.7\n"),
        ("a PNG picture", b"\x89PNG\r\n\x1a\n\0\0"),
        ("a JPEG picture", b"\xff\xd8\xff\xe0"),
        ("a zip archive or an office document", b"PK\x03\x04\x14"),
        ("an SVG drawing", b'<?xml version="1.0"?>\n<svg xmlns="x"/>'),
        ("a web page", b"<!DOCTYPE html>\n<html>"),
    ],
)
def test_a_file_of_another_kind_is_named(kind: str, data: bytes, demo_season: Path) -> None:
    demo_season.write_bytes(data)
    assert f"this is {kind}. Name a TOML file" in told(lambda: survey(demo_season))
    assert f"this is {kind}" in told(lambda: read_capture(demo_season))


def test_pictures_for_artwork_are_named(demo_season: Path) -> None:
    artwork = demo_season.parent / "decals" / "heron.svg"
    artwork.write_bytes(b"%PDF-1.7\n")
    words = told(lambda: survey(demo_season))
    assert words.startswith(f"{artwork}: this is a PDF. Export the artwork as SVG")


def test_artwork_without_a_cut_line_says_so_beside_other_faults(demo_season: Path) -> None:
    artwork = demo_season.parent / "decals" / "heron.svg"
    text = artwork.read_text("utf-8")
    artwork.write_text(text.replace('data-part="outline"', ""), "utf-8")
    words = told(lambda: survey(demo_season))
    assert "no ink is named" in words and "there is no cut line" in words


def test_files_in_each_others_place_are_named(demo_season: Path, tmp_path: Path) -> None:
    words = told(lambda: find_target(str(demo_season)))
    assert words.endswith("this is a season. Name a target")
    palette = demo_season.parent.parent / "palettes" / "reedlight.toml"
    assert told(lambda: survey(palette)).startswith(f"{palette}:1: this is a palette. Name a seas")
    shutil.copy(demo_season, palette)
    assert "this is a season. Name a palette" in told(lambda: survey(demo_season))
    words = told(lambda: read_book(demo_season))
    assert words.endswith(f"{demo_season}:1: this is a season. Name a rule book")
    (tmp_path / "a.json").write_text("{}", "utf-8")
    assert "this is JSON. Name a TOML file" in told(lambda: survey(tmp_path / "a.json"))
    for name in ("rendition24", "a" * 5000, "a\0b"):
        assert "no such target" in told(lambda name=name: find_target(name))
    (tmp_path / "b.json").write_text("[]", "utf-8")
    assert "[] is no object of keys and values" in told(lambda: read_capture(tmp_path / "b.json"))
    (tmp_path / "c.json").write_text("", "utf-8")
    assert "the file is empty" in told(lambda: read_capture(tmp_path / "c.json"))


@pytest.mark.parametrize("change", ["windows", "mark", "name", "no orders"])
def test_what_is_harmless_is_taken(change: str, demo_season: Path) -> None:
    data = demo_season.read_bytes()
    if change == "windows":
        data = data.replace(b"\n", b"\r\n")
    elif change == "mark":
        data = b"\xef\xbb\xbf" + data
    elif change == "name":
        data = data.replace(b'name = "Sedge"', 'name = "Šedgé 日本"'.encode())
    else:
        data = data[: data.index(b"[[orders]]")]
    demo_season.write_bytes(data)
    assert survey(demo_season).layouts


def test_every_key_and_name_is_where_newcomers_look() -> None:
    shown = [ROOT / "README.md", ROOT / "artwork_demo" / "season.toml", *ROOT.glob("palettes/*")]
    known = set(re.findall(r"[\w-]+", " ".join(path.read_text("utf-8") for path in shown)))
    named = {
        key
        for told in (*vars(season_tables).values(), *vars(palette_tables).values())
        if isinstance(told, type) and issubclass(told, Table)
        for key in told.model_fields
    }
    for kind in ItemKind:
        named |= {*size_keys(kind), *panel_keys(kind), *SURFACES[kind]}
    named |= set(TEXT_FIELDS)
    assert sorted(named - known - {f"size-{n}" for n in range(2, 6)}) == []


def test_a_width_of_a_wrong_unit_is_one_cause(demo_season: Path) -> None:
    text = demo_season.read_text("utf-8")
    given = 'spine_height = "62 mm"\nwidth = 4.25'
    demo_season.write_text(text.replace('spine_height = "62 mm"', given, 1), "utf-8")
    words = told(lambda: survey(demo_season))
    assert len(words.splitlines()) == 1
    assert "width is 4.25 mm" in words and "Check its unit (the size's own is 107.95 mm" in words
