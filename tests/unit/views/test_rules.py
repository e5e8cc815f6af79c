"""Rules in plain words."""

from dataclasses import replace

import pytest
from labels import labels_of, words_of

from livery.limits import CHECKS, Check, Rule, RuleBook, Severity
from livery.views import rules_in_force, rules_page
from livery.views.rule_words import limit_words, where_words

LIMIT = Severity.LIMIT


def _rule(check: Check, **parameters: float | str) -> Rule:
    return Rule("k", "T", check, parameters, ("face",), (), LIMIT, "S", "C", "read", "R")


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (
            _rule(Check.CONFINED_WITHIN, datum="grip-bottom", within=228.6),
            "ends at most 228.60 mm (9.000 in) from the bottom of the grip",
        ),
        (
            _rule(Check.CONFINED_WITHIN, datum="toe", within=200.0, within_loose=201.0),
            "ends at most 200.00 mm (7.874 in) from the toe; also printed as 201.00 mm (7.913 in)",
        ),
        (
            _rule(Check.CONFINED_WITHIN, datum="toe", within=200.0, within_loose=200.0),
            "ends at most 200.00 mm (7.874 in) from the toe",
        ),
        (
            _rule(Check.BEYOND_AT_LEAST, datum="shoulder", gap=0.0),
            "starts at least 0 mm beyond the shoulder line",
        ),
        (
            _rule(Check.SHARE_OF_AREA_AT_MOST, share=0.5),
            "cover at most 50 % of the surface",
        ),
        (
            _rule(Check.AREA_AT_MOST, area=5000.0, per="surface"),
            "at most 5000.0 mm² (7.750 sq in) on each surface",
        ),
        (_rule(Check.COUNT_AT_MOST, count=2.0, per="item"), "at most 2 on each item"),
        (
            _rule(Check.CLEAR_OF_ZONE, gap=1.0, zone="scuff-sheet"),
            "at least 1.00 mm (0.039 in) clear of the scuff sheet",
        ),
        (_rule(Check.CLEAR_OF_ZONE, gap=2.0), "at least 2.00 mm (0.079 in) clear of every"),
        (
            _rule(
                Check.DIMENSION_SHARE_AT_MOST,
                part="exposed-handle",
                whole="overall-length",
                share=0.52,
                except_sizes="size-1 size-2",
            ),
            "handle at most 52 % of the overall length, but for size-1, size-2",
        ),
        (_rule(Check.BY_EYE), "a person looks"),
    ],
)
def test_a_rule_says_what_it_asks_with_both_units(rule: Rule, said: str) -> None:
    assert limit_words(rule).startswith(said)


@pytest.mark.parametrize("check", list(Check))
def test_every_check_has_words(check: Check) -> None:
    spec = CHECKS[check]
    values = {"length": 3.0, "area": 9.0, "share": 0.5, "count": 2.0, "datum": "toe"}
    values |= {"dimension": "width", "decal, surface or item": "item", "words": "bat"}
    needed = {name: values[str(kind)] for name, kind in {**spec.needs, **spec.may}.items()}
    words = limit_words(_rule(check, **needed))
    assert words
    assert "_" not in words


def test_where_a_rule_holds() -> None:
    rule = _rule(Check.GAP_AT_LEAST, gap=2.0)
    assert where_words(rule) == "face"
    assert where_words(replace(rule, surfaces=(), roles=("lettering",))) == (
        "every surface; lettering"
    )
    dimension = _rule(Check.DIMENSION_AT_MOST, dimension="width", at_most=9.0)
    assert where_words(replace(dimension, surfaces=())) == "the bat itself"


def test_every_rule_of_every_book_is_listed_with_source_and_reading(
    books: tuple[RuleBook, ...],
) -> None:
    listed = rules_in_force(books)
    assert [r.rule for r in listed] == [f"{b.key}/{r.key}" for b in books for r in b.rules]
    face = next(rule for rule in listed if rule.rule == "laws/face-identification")
    assert "from memory" in face.standing
    assert "9.000 in" in face.asks
    assert "\n" not in face.reading
    assert face.reading.startswith("Measured along the face")


def test_the_pages_show_every_rule_once(books: tuple[RuleBook, ...]) -> None:
    drawing = rules_page(books)
    shown = [text for page in drawing.pages for text in words_of(page)]
    words = " ".join(shown)
    rules = [rule for book in books for rule in book.rules]
    assert [rule.title for rule in rules if words.count(rule.title) != 1] == []
    assert words.count("Standing: ") == len(rules)
    assert shown.count("Rule") == len(drawing.pages)
    assert any("Umpires" in line for line in shown)


def test_nothing_is_set_below_the_foot_of_a_page(books: tuple[RuleBook, ...]) -> None:
    for page in rules_page(books).pages:
        assert min(label.y_mm for label in labels_of(page)) > 5.0


def test_no_books_make_an_empty_page() -> None:
    assert rules_in_force(()) == ()
    assert len(rules_page(()).pages) == 1
