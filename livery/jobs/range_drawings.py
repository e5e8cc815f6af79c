"""Every size and hand of a season on paper: the grading chart, and a plan of each item."""

from __future__ import annotations

from livery.crew import Task
from livery.jobs.index import Figure, Section
from livery.jobs.making import Made
from livery.jobs.naming import file_stems
from livery.jobs.narrowing import bare_scheme
from livery.jobs.pages import svg_files
from livery.jobs.survey import Survey
from livery.limits import RuleBook
from livery.output import render_pdf
from livery.placement import Layout, books_in_force
from livery.scheme.model import Scheme
from livery.views import grading_chart, plan_chart, rules_page, surface_plan

_SHOWN = 3  # the chart, the rules, the first plan


def range_tasks(found: Survey) -> list[Task[Made]]:
    """What draws a season's range: the chart and the rules first, then a plan an item.

    Raises:
        SeasonError: a rule book cannot be read.
    """
    books = books_in_force(found.scheme)
    layouts = found.of_range
    # The range's drawings are of its layouts; of the season they show its words and inks.
    words = bare_scheme(found.scheme)
    stems = file_stems(map(_name, layouts))
    return [
        Task("grading chart", make_chart, (words, layouts, books)),
        Task("rules in force", make_rules, (books,)),
        *(
            Task(f"plan {_name(one)}", make_plan, (words, one, books, stems[_name(one)]))
            for one in layouts
        ),
    ]


def _name(layout: Layout) -> str:
    item = layout.item
    parts = [item.key, item.size, str(item.hand), f"{item.side}-{item.kind}" if item.side else ""]
    return "-".join(filter(None, parts))


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


def make_chart(scheme: Scheme, layouts: tuple[Layout, ...], books: tuple[RuleBook, ...]) -> Made:
    """The grading chart as SVG and PDF."""
    drawing = grading_chart(scheme, plan_chart(layouts), books)
    caption = "Grading chart: every size and hand at one scale"
    return Made(
        (
            *svg_files(drawing, "range/grading"),
            ("range/grading.pdf", render_pdf(drawing)),
        ),
        (Figure("range/grading.svg", "range/grading.svg", caption, caption),),
    )


def make_rules(books: tuple[RuleBook, ...]) -> Made:
    """The rules in force, as PDF and a page of SVG each."""
    drawing = rules_page(books)
    caption = "Rules in force, with source and reading"
    return Made(
        (
            ("range/rules.pdf", render_pdf(drawing)),
            *svg_files(drawing, "range/rules"),
        ),
        (Figure("range/rules.svg", "range/rules.pdf", caption, caption),),
    )


def make_plan(scheme: Scheme, layout: Layout, books: tuple[RuleBook, ...], stem: str) -> Made:
    """One item's plan."""
    drawing = surface_plan(scheme, layout, books)
    name = f"plans/{stem}.svg"
    figure = Figure(name, name, drawing.title, f"Plan of {drawing.title}")
    return Made(svg_files(drawing, f"plans/{stem}"), (figure,))
