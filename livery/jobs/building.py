"""Everything the printer, the bench and the signer need, from one season."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import astuple, replace
from pathlib import Path
from types import MappingProxyType

from livery.errors import Fault, SeasonError
from livery.jobs.contact_sheets import contact_picture
from livery.jobs.crew import Task, Watch, unwatched
from livery.jobs.index import Figure, IndexPage, Section, render_index
from livery.jobs.making import Bound, Kept, Made, Workbench
from livery.jobs.naming import file_stems
from livery.jobs.narrowing import only_order, only_sheet, unpriced
from livery.jobs.order_papers import (
    ink_tasks,
    inks_section,
    papers_section,
    papers_task,
)
from livery.jobs.range_drawings import range_section, range_tasks
from livery.jobs.survey import Survey
from livery.output import render_pdf, render_png, render_svg, write_part, write_pdf
from livery.placement import Layout
from livery.proof import Proof, card_drawing, proof_drawing, template_drawing
from livery.scheme.model import Order, Scheme, ThroughCut
from livery.sheet import (
    Areas,
    DecalAreas,
    Nesting,
    SheetRun,
    make_sheets,
    measure_decal,
    run_drawing,
    sheet_drawing,
    sum_areas,
    symbol_keys,
)
from livery.writing import StagedFolder, write_whole

LIBRARIES = (
    *("pikepdf", "PIL.Image", "reportlab.pdfbase.ttfonts", "resvg_py"),
    *("scipy.spatial", "segno", "svgwrite", "uharfbuzz"),
)
PLACEMENTS = Path("sheets") / "placements.json"
_ALL_SHEETS = "sheets/sheets.pdf"
_PREVIEW_PX_PER_MM = 3.0
_PICTURED_ORDERS = 24  # the index page lists the papers of more by name; workshop choice


def make_season(
    found: Survey,
    bench: Workbench,
    staged: StagedFolder,
    watch: Watch = unwatched,
    address: str = "",
    nesting: Nesting | None = None,
    beside: Sequence[Task[Made]] = (),
    offered: Mapping[str, Proof] = MappingProxyType({}),
) -> tuple[tuple[Section, ...], list[Kept]]:
    """Write sheets, cards, proofs, plans and order papers.

    Args:
        found: the season, surveyed.
        bench: where the work is done.
        staged: the folder.
        watch: told of progress.
        address: where the season's pages are served, for the code on each card; may be empty.
        nesting: how decals are nested; None takes the defaults. A search reuses the placements
            it left beside the sheets of an earlier build in the same folder.
        beside: tasks to be done with the season's.
        offered: by order, the revision to list and draw the changes from.

    Returns:
        Sections of the index page, and what came of the tasks beside.

    Raises:
        LiveryError: a sheet cannot be made or a file not written.
    """
    scheme = found.scheme
    options = _kept_placements(nesting or Nesting(), staged.target / PLACEMENTS)
    together = options.kits_together or scheme.profile.through_cut is ThroughCut.KITS
    run = make_sheets(scheme, found.layouts, replace(options, kits_together=together), watch)
    if run.placements:
        write_whole(staged.path / PLACEMENTS, run.placements)
    sheets = bench.do(sheet_tasks(unpriced(run)), "drawing sheets", bound_sheets(unpriced(run)))
    areas = sum_areas(run, _measured(sheets))
    pictures = [bench.read(_contact_name(sheet.number)) for sheet in run.sheets]
    groups = (
        beside,
        [papers_task(scheme, run, areas, pictures)],
        order_tasks(found, address, offered),
        range_tasks(found),
        ink_tasks(run),
    )
    done = iter(bench.do([task for group in groups for task in group], "drawing papers"))
    others, *drawn = ([next(done) for _ in group] for group in groups)
    return _sections(found, run, areas, [sheets, *drawn]), others


def _sections(
    found: Survey, run: SheetRun, areas: Areas, made: list[list[Kept]]
) -> tuple[Section, ...]:
    sheets, papers, orders, plans, inks = (
        tuple(figure for one in group for figure in one.figures) for group in made
    )
    return (
        _findings_section(found),
        range_section(plans),
        _sheet_section(run, sheets),
        _order_section(orders),
        papers_section(run, areas, papers),
        inks_section(run, inks),
    )


def _order_section(figures: tuple[Figure, ...]) -> Section:
    """Pictures of the first orders' papers; the others by name."""
    words = (
        "One proof for each player to sign; one card for the bench, and a template at full size to "
        "cut out."
    )
    shown = tuple(figure for figure in figures if figure.image != figure.href)
    named = tuple(figure.href for figure in figures if figure.image == figure.href)
    return Section("orders", "Proofs and bench cards", (words,), figures=shown, files=named)


def write_index(found: Survey, staged: StagedFolder, sections: tuple[Section, ...]) -> None:
    """Write the page to open."""
    scheme = found.scheme
    page = IndexPage(
        title=f"{scheme.name}, revision {scheme.revision}",
        intro=(scheme.workshop,),
        sections=sections,
        note=scheme.note,
    )
    write_whole(staged.path / "index.html", render_index(page))


def _kept_placements(options: Nesting, kept: Path) -> Nesting:
    """The options with the placements of an earlier search, where there are any."""
    if not options.search_seconds:
        return options
    try:
        return replace(options, kept=kept.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        return options


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


def _measured(sheets: Sequence[Kept]) -> dict[str, DecalAreas]:
    """By decal, what the sheets' tasks measured."""
    found = {}
    for one in sheets:
        for key, (inks, inked, cut) in json.loads(one.words).items():
            found[key] = DecalAreas(tuple((ink, area) for ink, area in inks), inked, cut)
    return found


def order_tasks(found: Survey, address: str, offered: Mapping[str, Proof]) -> list[Task[Made]]:
    """What draws each order's proof, card and template, given no more than it shows."""
    orders = found.scheme.orders
    stems = file_stems(order.key for order in orders)
    by_order: dict[str, list[Layout]] = {order.key: [] for order in orders}
    for layout in found.layouts:
        if layout.order:
            by_order[layout.order].append(layout)
    tasks = []
    for number, order in enumerate(orders):
        own = tuple(by_order[order.key])
        scheme = only_order(found.scheme, order, own)
        pictured = number < _PICTURED_ORDERS
        given = (scheme, order, own, offered.get(order.key), address, stems[order.key], pictured)
        tasks.append(Task(f"proof and card of {order.key}", make_order, given))
    return tasks


def build_proofs(
    found: Survey,
    out: Path,
    keys: tuple[str, ...],
    watch: Watch = unwatched,
    offered: Mapping[str, Proof] = MappingProxyType({}),
) -> tuple[Path, ...]:
    """Write the proofs of the orders named, or of all.

    Args:
        found: the season.
        out: folder for the proofs.
        keys: of orders; none means all.
        watch: told of progress.
        offered: by order, the revision to list and draw the changes from.

    Raises:
        SeasonError: an order's key is not in the season.
    """
    chosen = [order for order in found.scheme.orders if not keys or order.key in keys]
    known = {order.key for order in found.scheme.orders}
    if missing := [key for key in keys if key not in known]:
        faults = (
            Fault(
                str(found.scheme.path),
                "orders",
                None,
                f"no order has the key {key!r}",
                f"The orders are {', '.join(sorted(known))}",
            )
            for key in missing
        )
        raise SeasonError(*faults)
    stems = file_stems(order.key for order in found.scheme.orders)
    names = []
    for number, order in enumerate(chosen):
        watch("proofs", number, len(chosen))
        name = Path(f"{stems[order.key]}-proof.pdf")
        previous = offered.get(order.key)
        layouts = found.of_order(order)
        write_pdf(proof_drawing(found.scheme, order, layouts, previous=previous), out / name)
        names.append(name)
    watch("proofs", len(chosen), len(chosen))
    return tuple(names)


def make_sheet(run: SheetRun, first: tuple[str, ...]) -> Made:
    """One sheet as SVG, as a page of the document of all, and in small for the order papers.

    Args:
        run: of one sheet.
        first: keys of its decals that no earlier sheet holds.
    """
    (sheet,) = run.sheets
    drawing = sheet_drawing(run, sheet)
    stem = f"sheets/sheet-{sheet.number:03d}"
    caption = f"Sheet {sheet.number} of {sheet.of}: {len(sheet.items)} decals"
    files = (
        (f"{stem}.svg", render_svg(drawing).encode("utf-8")),
        (_contact_name(sheet.number), contact_picture(run, sheet)),
    )
    figure = Figure(f"{stem}.svg", f"{stem}.svg", caption, caption)
    earlier = {item.decal for item in sheet.items}.difference(first)
    part = write_part(drawing, {key for one in earlier for key in symbol_keys(one)}, packed=True)
    areas = {one.key: astuple(measure_decal(one)) for one in run.decals if one.key in first}
    return Made(files, (figure,), json.dumps(areas), part)


def _contact_name(number: int) -> str:
    return f"sheets/small/sheet-{number:03d}.png"


def make_order(
    scheme: Scheme,
    order: Order,
    layouts: tuple[Layout, ...],
    previous: Proof | None,
    address: str,
    stem: str,
    pictured: bool,
) -> Made:
    """An order's proof, bench card and template as PDF; of each its first page as a picture."""
    drawings = {
        "proof": proof_drawing(scheme, order, layouts, previous=previous),
        "card": card_drawing(scheme, order, layouts, address),
    }
    if any(layout.placements for layout in layouts):
        drawings["template"] = template_drawing(scheme, order, layouts)
    files, figures = [], []
    for kind, drawing in drawings.items():
        name = f"{kind}s/{stem}-{kind}"
        files.append((f"{name}.pdf", render_pdf(drawing)))
        if pictured:
            files.append((f"{name}.png", render_png(drawing, 0, _PREVIEW_PX_PER_MM)))
        caption = f"{kind.capitalize()} of {order.key}, {order.player}"
        figures.append(Figure(files[-1][0], f"{name}.pdf", caption, caption))
    return Made(tuple(files), tuple(figures))


def _sheet_section(run: SheetRun, figures: tuple[Figure, ...]) -> Section:
    count = sum(len(sheet.items) for sheet in run.sheets)
    intro = (
        f"{count} decals of {len(run.decals)} kinds on {len(run.sheets)} sheets of "
        f"{run.profile.stock}; decals cover {run.density:.0%} of what can be printed.",
        f"Content {run.content_hash[:16]}…",
        *run.notes,
    )
    return Section(
        "sheets",
        "Sheets for the printer",
        intro,
        figures=figures,
        files=(_ALL_SHEETS,) if run.sheets else (),
    )


def _findings_section(found: Survey) -> Section:
    broken = [f for f in found.findings if not f.ok]
    held = len(found.findings) - len(broken)
    rows = tuple(
        (str(f.severity), f.subject, f.text, f.source)
        for f in sorted(broken, key=lambda f: f.severity != "limit")
    )
    return Section(
        "findings",
        "Limits",
        (
            f"{len(found.findings)} checks: {held} hold, {len(found.broken)} limits broken, "
            f"{len(broken) - len(found.broken)} pieces of advice.",
        ),
        head=("severity", "where", "what", "source"),
        rows=rows,
    )
