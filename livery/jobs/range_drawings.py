"""Every size and hand of a season on paper: the grading chart, and a plan of each item."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from livery.jobs.index import Figure, Section
from livery.jobs.naming import file_stem
from livery.jobs.survey import Survey
from livery.limits import RuleBook
from livery.output import write_pdf, write_svg
from livery.placement import Layout, books_in_force
from livery.scheme.model import Scheme
from livery.views import grading_chart, rules_page, surface_plan

_SHOWN = 3  # the chart, the rules, the first plan

Task = Callable[[], tuple[Figure, ...]]


def range_tasks(found: Survey, folder: Path) -> tuple[Task, ...]:
    """What draws a season's range: the chart and the rules first, then a plan an item.

    Raises:
        SeasonError: a rule book cannot be read.
    """
    books = books_in_force(found.scheme)
    return (
        partial(_write_chart, found.scheme, found.of_range, books, folder),
        partial(_write_rules, books, folder),
        *(partial(_write_plan, found.scheme, layout, books, folder) for layout in found.of_range),
    )


def range_section(figures: tuple[Figure, ...]) -> Section:
    """The part of the index page that shows the chart, the rules and one plan, and lists all."""
    return Section(
        "range",
        "Every size and hand",
        (
            "The whole range at one scale, each surface with its limits, zones and decals in mm, "
            "and every rule in force with its source and the reading taken.",
        ),
        figures=figures[:_SHOWN],
        files=("range/grading.pdf", "range/rules.pdf", *(f.href for f in figures[_SHOWN - 1 :])),
    )


def _write_chart(
    scheme: Scheme, layouts: tuple[Layout, ...], books: tuple[RuleBook, ...], folder: Path
) -> tuple[Figure, ...]:
    drawing = grading_chart(scheme, layouts, books)
    write_svg(drawing, folder / "range" / "grading.svg")
    write_pdf(drawing, folder / "range" / "grading.pdf")
    caption = "Grading chart: every size and hand at one scale"
    return (Figure("range/grading.svg", "range/grading.svg", caption, caption),)


def _write_rules(books: tuple[RuleBook, ...], folder: Path) -> tuple[Figure, ...]:
    drawing = rules_page(books)
    write_pdf(drawing, folder / "range" / "rules.pdf")
    write_svg(drawing, folder / "range" / "rules.svg")
    caption = "Rules in force, with source and reading"
    return (Figure("range/rules.svg", "range/rules.pdf", caption, caption),)


def _write_plan(
    scheme: Scheme, layout: Layout, books: tuple[RuleBook, ...], folder: Path
) -> tuple[Figure, ...]:
    item = layout.item
    drawing = surface_plan(scheme, layout, books)
    parts = [
        item.key,
        item.size,
        str(item.hand),
        *([f"{item.side}-{item.kind}"] if item.side else []),
    ]
    name = f"plans/{file_stem('-'.join(parts))}"
    write_svg(drawing, folder / f"{name}.svg")
    return (Figure(f"{name}.svg", f"{name}.svg", drawing.title, f"Plan of {drawing.title}"),)
