"""Order papers: who gets which decals from which sheet, what the run takes, and what it costs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace

from livery.artwork.typesetting import head_of
from livery.crew import Task
from livery.drawing import Anchor, Drawing, Element, Label, Layer, LayerKind, Page
from livery.jobs.contact_sheets import SPARE, contact_pages, contact_symbols
from livery.jobs.index import Figure, Section
from livery.jobs.making import Made
from livery.output import render_pdf, render_png
from livery.proof.setting import INK, MARGIN_MM, PAGE_MM, SOFT, Column, Flow
from livery.scheme.model import Scheme
from livery.sheet import (
    Areas,
    ControlPatch,
    CostLine,
    SheetRun,
    control_patches,
    describe_print,
    list_costs,
    list_picks,
)
from livery.units import format_count

_PREVIEW_PX_PER_MM = 3.0
_DECIMALS = 4  # of a colour: finer than any instrument tells [source: workshop-choice]


def papers_task(scheme: Scheme, run: SheetRun, areas: Areas) -> Task[Made]:
    """What makes a run's order papers."""
    own = replace(scheme, bats=(), soft_kit=(), decals=(), placements=(), groups=(), digests=())
    return Task("order papers", make_papers, (own, run, areas))


def papers_section(run: SheetRun, areas: Areas, figures: tuple[Figure, ...]) -> Section:
    """The part of the index page with the run's totals and the papers to take away."""
    costs = list_costs(run, areas)
    return Section(
        "order-papers",
        "Order papers",
        (
            "What to pick for whom, each sheet with its decals numbered, and what the run takes.",
            _total_words(run, costs),
        ),
        figures=figures,
        files=("orders/order-papers.pdf", "orders/picks.csv", "orders/order-papers.json"),
        head=("what", "amount", "price", "cost"),
        rows=tuple(_cost_cells(run, line) for line in costs),
    )


def papers_drawing(scheme: Scheme, run: SheetRun, areas: Areas) -> Drawing:
    """Pick list, totals and contact sheets as A4 pages.

    Args:
        scheme: the season.
        run: its sheets.
        areas: what they take.
    """
    flow = Flow(PAGE_MM[1] - MARGIN_MM, MARGIN_MM + 6.0)
    _draw_picks(flow, scheme, run)
    _draw_totals(flow, run, areas)
    _draw_aims(flow, run, areas)
    pages = [*flow.pages]
    decals = {decal.key: decal for decal in run.decals}
    for sheet in run.sheets:
        pages += contact_pages(sheet, decals)
    title = f"{run.season}, revision {run.revision}: order papers"
    return Drawing(
        title,
        tuple(_page(run, elements, number) for number, elements in enumerate(pages, start=1)),
        contact_symbols(run),
        date=run.date,
    )


def _page(run: SheetRun, elements: list[Element], number: int) -> Page:
    foot = f"{run.season} · revision {run.revision} · content {run.content_hash[:16]} · {number}"
    line = Label(foot, MARGIN_MM, 9.0, 6.0, SOFT)
    layer = Layer("order papers", LayerKind.INFORMATION, (*elements, line))
    return Page(*PAGE_MM, (layer,), f"Order papers, page {number}")


def _players(scheme: Scheme) -> dict[str, str]:
    return {order.key: order.player for order in scheme.orders}


def _draw_picks(flow: Flow, scheme: Scheme, run: SheetRun) -> None:
    players = _players(scheme)
    prints = {decal.key: describe_print(decal) for decal in run.decals}
    flow.heading("Pick list", INK)
    count = format_count(len(run.sheets), "sheet")
    flow.paragraph(
        f"{head_of(run.workshop, count)} of {run.profile.stock}. "
        "Numbers are those of the contact sheets. Tick each line as its decals leave their sheet."
    )
    rows = [
        (
            pick.order or SPARE,
            players.get(pick.order, ""),
            str(pick.sheet),
            _number_words(pick.numbers),
            pick.name,
            prints[pick.decal],
            str(pick.quantity),
            "",
        )
        for pick in list_picks(run)
    ]
    columns = (
        Column("order", 17.0),
        Column("player", 33.0),
        Column("sheet", 11.0, Anchor.END),
        Column("numbers", 26.0),
        Column("decal", 30.0),
        Column("as printed", 39.0),
        Column("copies", 13.0, Anchor.END),
        Column("done", 11.0, ticks=True),
    )
    flow.table(columns, rows)


def _number_words(numbers: Sequence[int]) -> str:
    """Numbers with each run of neighbours as its ends."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    ends = ((str(run[0]), "" if len(run) == 1 else f"–{run[-1]}") for run in runs)
    return ", ".join(first + last for first, last in ends)


def _draw_totals(flow: Flow, run: SheetRun, areas: Areas) -> None:
    flow.heading("What the run takes", INK)
    costs = list_costs(run, areas)
    flow.paragraph(
        "Areas at true size after knock-outs, bleed not counted; white before its choke. "
        + _total_words(run, costs)
    )
    columns = (
        Column("what", 70.0),
        Column("amount", 36.0, Anchor.END),
        Column("price", 37.0, Anchor.END),
        Column("cost", 37.0, Anchor.END),
    )
    flow.table(columns, [_cost_cells(run, line) for line in costs])


def _strip(run: SheetRun, areas: Areas) -> tuple[ControlPatch, ...]:
    """The control strip of a run; its inks are those with areas, as its decals may be bare."""
    return tuple(control_patches(run.palette, run.profile, [ink for ink, _ in areas.inks]))


def _draw_aims(flow: Flow, run: SheetRun, areas: Areas) -> None:
    """What each patch of the control strip should measure."""
    flow.heading("Control strip", INK)
    flow.paragraph(
        "Aims as CIELAB D50/2°, in the strip's order. What is predicted is a first estimate: the "
        "first approved sheet is the better aim."
    )
    columns = (
        Column("patch", 60.0),
        Column("L*", 18.0, Anchor.END),
        Column("a*", 18.0, Anchor.END),
        Column("b*", 18.0, Anchor.END),
        Column("aim is", 66.0),
    )
    rows = [
        (
            patch.name,
            *(f"{value:.1f}".replace("-", "−") for value in patch.aim),
            "predicted" if patch.predicted else "the palette's",
        )
        for patch in _strip(run, areas)
    ]
    flow.table(columns, rows)


def _cost_cells(run: SheetRun, line: CostLine) -> tuple[str, str, str, str]:
    currency = run.profile.currency
    amount = f"{line.amount:.4f}" if line.unit == "m²" else f"{line.amount:g}"
    if line.price is None or line.cost is None:
        return (line.what, f"{amount} {line.unit}", "no price given", "")
    price = f"{line.price:.2f} {currency}".strip() + f" / {line.unit}".removesuffix("s")
    return (line.what, f"{amount} {line.unit}", price, f"{line.cost:.2f} {currency}".strip())


def _total_words(run: SheetRun, costs: tuple[CostLine, ...]) -> str:
    known = [line.cost for line in costs if line.cost is not None]
    if not known:
        return "No price is given in the print profile."
    total = f"{sum(known):.2f} {run.profile.currency}".strip()
    missing = len(costs) - len(known)
    return f"Total {total}" + (f"; {missing} of {len(costs)} have no price." if missing else ".")


def make_papers(scheme: Scheme, run: SheetRun, areas: Areas) -> Made:
    """The order papers as PDF, their first page as a picture, and the lists as data."""
    drawing = papers_drawing(scheme, run, areas)
    preview = render_png(replace(drawing, pages=drawing.pages[:1]), 0, _PREVIEW_PX_PER_MM)
    caption = "Order papers: picks, totals, contact sheets"
    return Made(
        (
            ("orders/order-papers.pdf", render_pdf(drawing)),
            ("orders/picks.csv", picks_csv(scheme, run).encode()),
            ("orders/order-papers.json", papers_json(run, areas).encode()),
            ("orders/order-papers.png", preview),
        ),
        (Figure("orders/order-papers.png", "orders/order-papers.pdf", caption, caption),),
    )


def picks_csv(scheme: Scheme, run: SheetRun) -> str:
    """The pick list as comma-separated text; text that a table would take for a formula is quoted.

    A leading ``=``, ``+``, ``-`` or ``@`` gets an apostrophe before it.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(
        ("order", "player", "sheet", "decal", "print", "copies", "placements", "numbers")
    )
    players = _players(scheme)
    for pick in list_picks(run):
        cells = (
            pick.order or SPARE,
            players.get(pick.order, ""),
            pick.sheet,
            pick.name,
            pick.decal,
            pick.quantity,
            " ".join(pick.placements),
            " ".join(map(str, pick.numbers)),
        )
        writer.writerow([_harmless(str(cell)) for cell in cells])
    return stream.getvalue()


def _harmless(cell: str) -> str:
    return "'" + cell if cell.startswith(("=", "+", "-", "@")) else cell


def papers_json(run: SheetRun, areas: Areas) -> str:
    """Picks, areas in mm², the control strip's aims and costs as JSON text."""
    content: Mapping[str, object] = {
        "season": run.season,
        "revision": run.revision,
        "content": run.content_hash,
        "currency": run.profile.currency,
        "picks": [asdict(pick) for pick in list_picks(run)],
        "areas_mm2": _areas_data(areas),
        "strip": [
            {
                "patch": patch.name,
                "aim": [round(value, _DECIMALS) for value in patch.aim],
                "predicted": patch.predicted,
            }
            for patch in _strip(run, areas)
        ],
        "costs": [asdict(line) | {"cost": line.cost} for line in list_costs(run, areas)],
    }
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def _areas_data(areas: Areas) -> dict[str, object]:
    return asdict(areas) | {"inks": dict(areas.inks), "process": dict(areas.process)}
