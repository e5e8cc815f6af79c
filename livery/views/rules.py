"""Every rule in force, with its source, its standing and the reading taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from livery.drawing import Drawing
from livery.limits import RuleBook
from livery.views.frame import MARGIN_MM, WIDE_A4_MM, draw_foot, draw_head, make_page
from livery.views.rule_words import limit_words, where_words
from livery.views.tables import Column, Row, fill_pages

_COLUMNS = (
    Column("Rule", 50.0, "text-bold"),
    Column("What it asks", 57.0),
    Column("Where", 34.0),
    Column("Force", 16.0),
    Column("Source and standing", 52.0),
    Column("Reading taken", 64.0),
)
_SIZE_PT = 7.0


@dataclass(frozen=True, slots=True)
class RuleInForce:
    """One rule in plain words.

    Attributes:
        rule: book and key, as findings name it.
        severity: limit, advice or note.
        asks: what must hold, with figures in mm and inches.
        where: the surfaces and roles it governs.
        standing: how the wording was obtained.
        reading: the reading taken where the wording is open; may be empty.
    """

    rule: str
    book: str
    title: str
    severity: str
    asks: str
    where: str
    source: str
    clause: str
    standing: str
    reading: str


def rules_in_force(books: Sequence[RuleBook]) -> tuple[RuleInForce, ...]:
    """Every rule of every book, in the books' order."""
    return tuple(
        RuleInForce(
            rule=f"{book.key}/{rule.key}",
            book=book.title,
            title=rule.title,
            severity=str(rule.severity),
            asks=limit_words(rule),
            where=where_words(rule),
            source=rule.source,
            clause=rule.clause,
            standing=rule.standing,
            reading=" ".join(rule.reading.split()),
        )
        for book in books
        for rule in book.rules
    )


def rules_page(books: Sequence[RuleBook]) -> Drawing:
    """The rules in force as a table to print, on as many A4 pages as it takes.

    Raises:
        ArtworkError: a book holds a character that the packaged fonts do not.
    """
    width, height = WIDE_A4_MM
    box = (MARGIN_MM, 13.0, width - MARGIN_MM, height - 26.0)
    tables = fill_pages(_COLUMNS, list(_rows(books)), box, _SIZE_PT) or [[]]
    title, count = "Rules in force", sum(len(book.rules) for book in books)
    under = (
        f"{count} rules of {len(books)} books. Where several limit one thing, the strictest is "
        "held and all are reported."
    )
    pages = []
    for number, table in enumerate(tables, start=1):
        head = draw_head(title, under, f"{number} of {len(tables)}", WIDE_A4_MM)
        foot = draw_foot("Lengths in mm, with inches as the trade reads them", WIDE_A4_MM)
        pages.append(make_page([*head, *table, *foot], WIDE_A4_MM, title))
    return Drawing(title, tuple(pages))


def _rows(books: Sequence[RuleBook]) -> Iterator[Row]:
    rules = iter(rules_in_force(books))
    for book in books:
        note = " ".join(book.note.split())
        yield Row((f"{book.title}. {note}" if note else book.title,))
        for _ in book.rules:
            rule = next(rules)
            clause = f", {rule.clause}" if rule.clause else ""
            source = f"{rule.source}{clause}. Standing: {rule.standing}"
            cells = (rule.title, rule.asks, rule.where, rule.severity, source, rule.reading)
            yield Row(cells)
