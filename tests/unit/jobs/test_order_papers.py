"""Order papers of the demonstration season."""

import csv
import io
import json
from dataclasses import replace

import numpy as np
import pytest

from livery.drawing import Drawing, Element, Label, Shape, Use
from livery.jobs.contact_sheets import contact_pages
from livery.jobs.ink_papers import inks_section
from livery.jobs.order_papers import (
    papers_drawing,
    papers_json,
    papers_section,
    papers_task,
    picks_csv,
)
from livery.jobs.survey import Survey
from livery.scheme.model import Prints
from livery.sheet import (
    Areas,
    SheetRun,
    control_patches,
    list_picks,
    measure_decal,
    run_inks,
    sum_areas,
)


@pytest.fixture(scope="module")
def areas(demo_run: SheetRun) -> Areas:
    return sum_areas(demo_run, {decal.key: measure_decal(decal) for decal in demo_run.decals})


def elements_of(drawing: Drawing) -> list[Element]:
    """All that is on its pages."""
    return [e for page in drawing.pages for layer in page.layers for e in layer.elements]


def test_every_decal_is_on_the_pick_list_once(demo: Survey, demo_run: SheetRun) -> None:
    rows = list(csv.DictReader(io.StringIO(picks_csv(demo.scheme, demo_run))))
    assert sum(int(row["copies"]) for row in rows) == sum(len(s.items) for s in demo_run.sheets)
    players = {row["order"]: row["player"] for row in rows}
    assert players["Q-106"] == "Zoë Fellgarth"
    assert players["spare"] == ""


def test_picks_name_the_numbers_of_the_contact_sheet(demo: Survey, demo_run: SheetRun) -> None:
    rows = csv.DictReader(io.StringIO(picks_csv(demo.scheme, demo_run)))
    seen: dict[int, list[int]] = {sheet.number: [] for sheet in demo_run.sheets}
    for row in rows:
        items = demo_run.sheets[int(row["sheet"]) - 1].items
        for number in map(int, row["numbers"].split()):
            assert items[number - 1].decal == row["print"]
            seen[int(row["sheet"])].append(number)
    for sheet in demo_run.sheets:
        assert sorted(seen[sheet.number]) == list(range(1, len(sheet.items) + 1))


def test_each_line_of_the_pick_list_has_its_box_and_plain_words(
    demo: Survey, demo_run: SheetRun, areas: Areas
) -> None:
    elements = elements_of(papers_drawing(demo.scheme, demo_run, areas))
    boxes = [
        e for e in elements if isinstance(e, Shape) and e.fill is None and e.path.verbs[-1] == "Z"
    ]
    assert len(boxes) == len(list_picks(demo_run)) + len(demo_run.sheets)  # and each sheet's edge
    said = {e.text for e in elements if isinstance(e, Label)}
    assert not any("@" in text or "~" in text or "#" in text for text in said)
    assert any("at 97." in text for text in said)
    assert "mirrored" in said


def test_a_table_program_finds_no_formula(demo: Survey, demo_run: SheetRun) -> None:
    orders = tuple(replace(order, player="=1+1") for order in demo.scheme.orders)
    text = picks_csv(replace(demo.scheme, orders=orders), demo_run)
    assert ",'=1+1," in text
    assert ",=1+1" not in text


def test_every_sheet_is_shown_in_small_with_its_numbers(
    demo: Survey, demo_run: SheetRun, areas: Areas
) -> None:
    drawing = papers_drawing(demo.scheme, demo_run, areas)
    elements = elements_of(drawing)
    shown = [e.symbol for e in elements if isinstance(e, Use)]
    decals = {one.key: one.decal for one in demo_run.decals}
    assert shown == [decals[i.decal].key for sheet in demo_run.sheets for i in sheet.items]
    drawn = {symbol.key: len(symbol.elements) for symbol in drawing.symbols}
    assert drawn == {d.key: len(d.regions) + 1 for d in decals.values()}  # and its cut line
    first = {e.text for e in elements if isinstance(e, Label)}
    assert {str(n + 1) for n in range(len(demo_run.sheets[0].items))} <= first


def test_a_sheet_in_small_gives_way_to_its_list_as_far_as_it_can(demo_run: SheetRun) -> None:
    decals = {one.key: one for one in demo_run.decals}
    fullest = max(demo_run.sheets, key=lambda sheet: len(sheet.items))
    for count, pages in ((20, 1), (29, 1), (40, 2)):
        items = (fullest.items * 4)[:count]
        assert len(items) == count
        assert len(contact_pages(replace(fullest, items=items), decals)) == pages


def test_the_aim_of_every_patch_of_the_strip_is_listed(
    demo: Survey, demo_run: SheetRun, areas: Areas
) -> None:
    _, given, *_ = papers_task(demo.scheme, demo_run, areas).given
    elements = elements_of(papers_drawing(demo.scheme, given, areas))
    said = {e.text for e in elements if isinstance(e, Label)}
    patches = control_patches(demo_run.palette, demo_run.profile, run_inks(demo_run))
    assert {patch.name for patch in patches} <= said
    assert len(patches) > 3 * len(run_inks(demo_run))
    data = json.loads(papers_json(given, areas))["strip"]
    assert [one["patch"] for one in data] == [patch.name for patch in patches]
    aims = [patch.aim for patch in patches]
    assert np.allclose([one["aim"] for one in data], aims, rtol=0.0, atol=5.1e-5)


def test_prices_make_a_total_and_their_lack_is_said(demo_run: SheetRun, areas: Areas) -> None:
    assert "No price is given" in papers_section(demo_run, areas, ()).intro[1]
    profile = replace(demo_run.profile, currency="GBP", price_stock_m2=10.0)
    priced = replace(demo_run, profile=profile)
    section = papers_section(priced, areas, ())
    total = 10.0 * len(demo_run.sheets) * 0.32 * 0.45
    assert f"Total {total:.2f} GBP" in section.intro[1]
    assert any("no price given" in row for row in section.rows)
    data = json.loads(papers_json(priced, areas))
    assert data["costs"][0]["cost"] == pytest.approx(total)
    assert data["areas_mm2"]["stock"] == pytest.approx(len(demo_run.sheets) * 320 * 450)


def test_the_ink_table_tells_plates_from_builds(demo_run: SheetRun) -> None:
    inks = tuple(
        replace(ink, prints=Prints.PROCESS) if ink.key == "ember" else ink
        for ink in demo_run.palette.inks
    )
    mixed = replace(demo_run, palette=replace(demo_run.palette, inks=inks))
    rows = {row[0]: row for row in inks_section(mixed, ()).rows}
    assert rows["Tarn"][2] == "its own separation"
    assert rows["Ember"][2].startswith("C/M/Y/K 0/")
    assert "out of gamut" in rows["Ember"][4]
