"""Rule books: the packaged ones, and a user's own with all its faults at once."""

from pathlib import Path

import pytest

from livery.errors import SeasonError
from livery.limits import load_books, packaged_books, read_book, source_of
from livery.limits.books import PACKAGED
from livery.limits.profile import book_of_profile
from livery.scheme.model import PrintProfile

GOOD = """title = "Cup"
[[rules]]
key = "area"
title = "Area"
check = "area-at-most"
surfaces = ["face"]
source = "Cup regulations"
standing = "read"
[rules.parameters]
area = "50 cm²"
"""


def test_packaged_books_read_and_say_where_they_stand() -> None:
    assert packaged_books() == ("competition", "laws", "workshop")
    laws, workshop = load_books(["laws", "workshop"], Path())
    for rule in (*laws.rules, *workshop.rules):
        assert rule.source
        assert rule.standing
    assert {rule.standing for rule in workshop.rules} <= {"workshop choice", "second-hand"}
    assert "Umpires and the competition decide" in laws.note


@pytest.mark.parametrize(
    ("key", "name", "strict_mm", "loose_mm"),
    [
        ("face-identification", "within", 9 * 25.4, 228.6),
        ("identification-thickness", "thickness", 0.2, 0.008 * 25.4),
        ("overall-length", "at_most", 38 * 25.4, 965.2),
        ("width", "at_most", 4.25 * 25.4, 108.0),
        ("depth", "at_most", 67.0, 2.64 * 25.4),
        ("edge", "at_most", 1.56 * 25.4, 40.0),
        ("grip-reach", "at_most", 2.75 * 25.4, 69.9),
    ],
)
def test_the_laws_hold_the_stricter_of_two_figures(
    key: str, name: str, strict_mm: float, loose_mm: float
) -> None:
    (laws,) = load_books(["laws"], Path())
    (parameters,) = (rule.parameters for rule in laws.rules if rule.key == key)
    assert parameters[name] == pytest.approx(strict_mm, rel=1e-9)
    assert parameters[f"{name}_loose"] == pytest.approx(loose_mm, rel=1e-9)


def test_every_limit_printed_twice_is_held_above() -> None:
    (laws,) = load_books(["laws"], Path())
    twice = [rule.key for rule in laws.rules if any("_loose" in name for name in rule.parameters)]
    assert len(twice) == 7


def test_the_competition_shape_holds_no_number_until_filled(tmp_path: Path) -> None:
    with pytest.raises(SeasonError) as caught:
        load_books(["competition"], Path())
    assert len(caught.value.faults) == 6
    for fault in caught.value.faults:
        assert "is to be filled" in fault.found
        assert "copy competition.toml beside the season" in fault.mend
        assert fault.line is not None
    text = (PACKAGED / "competition.toml").read_text("utf-8")
    (tmp_path / "cup.toml").write_text(text, "utf-8")
    with pytest.raises(SeasonError) as caught:
        load_books(["cup.toml"], tmp_path)
    assert "'area' of 'Area of each identification on a glove'" in str(caught.value)
    assert "or remove the rule" in str(caught.value)


def test_a_filled_shape_is_a_book(invented_cup: Path) -> None:
    (book,) = load_books([invented_cup.name], invented_cup.parent)
    assert book.rules[0].parameters == {"area": pytest.approx(8 * 25.4**2), "per": "surface"}
    assert book.rules[3].parameters == {"count": 2.0, "per": "item"}
    for rule in book.rules:
        assert "to be filled" not in source_of(rule)
        assert "entered by the user" in source_of(rule) or rule.severity == "note"


def test_a_book_of_ones_own(tmp_path: Path) -> None:
    (tmp_path / "cup.toml").write_text(GOOD, "utf-8")
    (book,) = load_books(["cup.toml"], tmp_path)
    assert book.key == "cup"
    assert book.rules[0].parameters == {"area": 5000.0}


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("area-at-most", "area-at-mots", 5, "Did you mean 'area-at-most'?"),
        ('["face"]', '["fase"]', 6, "Did you mean 'face'?"),
        ('"50 cm²"', '"fifty"', 10, "'fifty' is no area"),
        ('"50 cm²"', "true", 10, "True is no area"),
        ("area = ", "aera = ", 10, "Did you mean 'area'?"),
        (
            'check = "area-at-most"\nsurfaces = ["face"]',
            'check = "surfaces-allowed"',
            2,
            "names no surfaces",
        ),
        ("standing", "standin", 8, "unknown key 'standin'"),
        ('area = "50 cm²"', "", 2, "needs 'area'"),
        ('key = "area"', 'key = "area"\nseverity = "fatal"', 4, "'fatal' is not one of"),
    ],
)
def test_faults_say_where_and_what_instead(
    tmp_path: Path, old: str, new: str, line: int, words: str
) -> None:
    path = tmp_path / "cup.toml"
    path.write_text(GOOD.replace(old, new, 1), "utf-8")
    with pytest.raises(SeasonError) as caught:
        read_book(path)
    assert words in str(caught.value)
    assert line in [fault.line for fault in caught.value.faults]


def test_all_faults_of_all_books_come_at_once(tmp_path: Path) -> None:
    bad = GOOD.replace("area-at-most", "x").replace('["face"]', '["y"]')
    (tmp_path / "cup.toml").write_text(bad, "utf-8")
    with pytest.raises(SeasonError) as caught:
        load_books(["cup.toml", "lows", "none.toml"], tmp_path)
    text = str(caught.value)
    for words in ("unknown check 'x'", "unknown surface 'y'", "Did you mean 'laws'?", "none.toml"):
        assert words in text
    with pytest.raises(SeasonError, match=r"^season\.toml: rules: there is no rule book 'lows'"):
        load_books(["lows"], tmp_path, "season.toml")


def test_one_book_twice_and_one_key_twice_are_faults(tmp_path: Path) -> None:
    with pytest.raises(SeasonError, match="two rule books"):
        load_books(["laws", "laws"], tmp_path)
    (tmp_path / "cup.toml").write_text(GOOD + GOOD.partition("\n")[2], "utf-8")
    with pytest.raises(SeasonError, match="used twice"):
        load_books(["cup.toml"], tmp_path)


def test_the_print_profile_is_a_book_too() -> None:
    text, line = book_of_profile(PrintProfile(min_text_pt=10.0, min_line_mm=0.3)).rules
    assert text.parameters["height"] == pytest.approx(0.7 * 10 * 25.4 / 72)
    assert line.parameters["width"] == 0.3
