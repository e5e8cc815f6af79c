"""A run's sheets as files: each as SVG, and as a page of the document of all."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import astuple, replace

from livery.crew import Task
from livery.jobs.index import Figure, Section
from livery.jobs.making import Bound, Kept, Made
from livery.jobs.narrowing import only_sheet
from livery.jobs.player_papers import LIBRARIES as LIBRARIES  # for workers
from livery.output import render_svg, write_part
from livery.sheet import (
    DecalAreas,
    SheetRun,
    measure_decal,
    run_drawing,
    sheet_drawing,
    symbol_keys,
)
from livery.units import format_count

_ALL_SHEETS = "sheets/sheets.pdf"


def sheet_tasks(run: SheetRun) -> list[Task[Made]]:
    """What draws each sheet, given no more of the run than the sheet shows.

    The first sheet to hold a decal brings it to the document of all sheets, and measures it.
    """
    tasks, seen = [], set[str]()
    for number, sheet in enumerate(run.sheets):
        first = tuple(sorted({item.decal for item in sheet.items} - seen))
        seen.update(first)
        given = (only_sheet(run, number), first)
        tasks.append(Task(f"sheet {sheet.number}", make_sheet, given))
    return tasks


def bound_sheets(run: SheetRun) -> Bound | None:
    """All sheets in one PDF; None without any."""
    head = run_drawing(replace(run, sheets=()))
    return Bound(_ALL_SHEETS, head, run) if run.sheets else None


def measured_areas(sheets: Sequence[Kept]) -> dict[str, DecalAreas]:
    """By decal, what the sheets' tasks measured."""
    found = {}
    for one in sheets:
        for key, (inks, inked, cut) in json.loads(one.words).items():
            found[key] = DecalAreas(tuple((ink, area) for ink, area in inks), inked, cut)
    return found


def make_sheet(run: SheetRun, first: tuple[str, ...]) -> Made:
    """One sheet as SVG and as a page of the document of all.

    Args:
        run: of one sheet.
        first: keys of its decals that no earlier sheet holds.
    """
    (sheet,) = run.sheets
    drawing = sheet_drawing(run, sheet)
    stem = f"sheets/sheet-{sheet.number:03d}"
    decals = format_count(len(sheet.items), "decal")
    caption = f"Sheet {sheet.number} of {sheet.of}: {decals}"
    files = ((f"{stem}.svg", render_svg(drawing).encode("utf-8")),)
    figure = Figure(f"{stem}.svg", f"{stem}.svg", caption, caption)
    earlier = {item.decal for item in sheet.items}.difference(first)
    part = write_part(drawing, {key for one in earlier for key in symbol_keys(one)})
    areas = {one.key: astuple(measure_decal(one)) for one in run.decals if one.key in first}
    return Made(files, (figure,), json.dumps(areas), part)


def sheets_section(run: SheetRun, figures: tuple[Figure, ...]) -> Section:
    """The part of the index page that shows the sheets."""
    if not run.sheets:
        why = "Sheets, order papers, proofs and bench cards are made of the season's [[orders]]."
        return Section("sheets", "Sheets for the printer", (*run.notes, why))
    decals = format_count(sum(len(sheet.items) for sheet in run.sheets), "decal")
    kinds, sheets = (
        format_count(len(many), noun)
        for many, noun in ((run.decals, "kind"), (run.sheets, "sheet"))
    )
    intro = (
        f"{decals} of {kinds} on {sheets} of {run.profile.stock}; decals cover {run.density:.0%} "
        "of what can be printed.",
        f"Content {run.content_hash[:16]}…",
        *run.notes,
    )
    return Section(
        "sheets",
        "Sheets for the printer",
        intro,
        figures=figures,
        files=(_ALL_SHEETS,),
    )
