"""Everything the printer, the bench and the signer need, from one season."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from livery.errors import Fault, SeasonError
from livery.jobs.crew import Watch, do_all, unwatched
from livery.jobs.index import Figure, IndexPage, Section, render_index
from livery.jobs.naming import file_stem
from livery.jobs.order_papers import inks_section, paper_tasks, papers_section
from livery.jobs.range_drawings import range_section, range_tasks
from livery.jobs.survey import Survey
from livery.output import write_pdf, write_png, write_svg
from livery.placement import Layout
from livery.proof import card_drawing, proof_drawing, template_drawing
from livery.scheme.model import Order, Scheme, ThroughCut
from livery.sheet import (
    Nesting,
    SheetRun,
    keep_placements,
    make_sheets,
    run_drawing,
    sheet_drawing,
)
from livery.writing import StagedFolder, write_whole

PLACEMENTS = Path("sheets") / "placements.json"
_PREVIEW_PX_PER_MM = 3.0


def build_season(
    found: Survey,
    out: Path,
    *,
    jobs: int = 1,
    watch: Watch = unwatched,
    address: str = "",
    nesting: Nesting | None = None,
) -> tuple[Path, ...]:
    """Write sheets, cards, proofs, the grading chart and an index page.

    Args:
        found: the season, surveyed.
        out: folder to fill; earlier results stay as they are if anything fails.
        jobs: processes to work with.
        watch: told of progress.
        address: where the season's pages are served, for the code on each card; may be empty.
        nesting: how decals are nested; None takes the defaults. A search reuses the placements
            it left beside the sheets of an earlier build in the same folder.

    Returns:
        Files written, relative to ``out``, sorted.

    Raises:
        LiveryError: a sheet cannot be made or a file not written.
    """
    options = _kept_placements(nesting or Nesting(), out / PLACEMENTS)
    with StagedFolder(out) as staged:
        sections = write_season(found, staged.path, jobs, watch, address, options)
        write_whole(staged.path / "index.html", render_index(season_page(found, sections)))
        return list_files(staged.path)


def _kept_placements(options: Nesting, kept: Path) -> Nesting:
    """The options with the placements of an earlier search, where there are any."""
    if not options.search_seconds:
        return options
    try:
        return replace(options, kept=kept.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError):
        return options


def write_season(
    found: Survey,
    folder: Path,
    jobs: int,
    watch: Watch,
    address: str = "",
    options: Nesting | None = None,
) -> tuple[Section, ...]:
    """Write everything but the index page; returns the page's sections."""
    scheme = found.scheme
    options = options or Nesting()
    together = options.kits_together or scheme.profile.through_cut is ThroughCut.KITS
    run = make_sheets(scheme, found.layouts, replace(options, kits_together=together), watch)
    if options.search_seconds:
        write_whole(folder / PLACEMENTS, keep_placements(run))
    sheets = [partial(_write_sheet, run, number, folder) for number in range(len(run.sheets))]
    papers = [
        partial(_write_papers, scheme, order, found.of_order(order), folder, address)
        for order in scheme.orders
    ]
    views = range_tasks(found, folder)
    lists = paper_tasks(scheme, run, folder)
    tasks: list[Callable[[], tuple[Figure, ...]]] = [
        partial(_write_run, run, folder),
        *sheets,
        *papers,
        *lists,
        *views,
    ]
    figures = do_all(tasks, jobs=jobs, stage="drawing", watch=watch)
    first, last = 1 + len(sheets), len(tasks) - len(views)
    middle = last - len(lists)
    return (
        _findings_section(found),
        range_section(_all(figures[last:])),
        _sheet_section(run, figures[1:first]),
        Section(
            "orders",
            "Proofs and bench cards",
            (
                "One proof for each player to sign; one card for the bench, and a template at full "
                "size to cut out.",
            ),
            figures=_all(figures[first:middle]),
        ),
        papers_section(run, figures[middle]),
        inks_section(run, _all(figures[middle + 1 : last])),
    )


def _all(groups: list[tuple[Figure, ...]]) -> tuple[Figure, ...]:
    return tuple(figure for group in groups for figure in group)


def build_proofs(
    found: Survey, out: Path, keys: tuple[str, ...], watch: Watch = unwatched
) -> tuple[Path, ...]:
    """Write the proofs of the orders named, or of all.

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
    names = []
    for number, order in enumerate(chosen):
        watch("proofs", number, len(chosen))
        name = Path(f"{file_stem(order.key)}-proof.pdf")
        write_pdf(proof_drawing(found.scheme, order, found.of_order(order)), out / name)
        names.append(name)
    watch("proofs", len(chosen), len(chosen))
    return tuple(names)


def season_page(found: Survey, sections: tuple[Section, ...]) -> IndexPage:
    """The index page of a season."""
    scheme = found.scheme
    return IndexPage(
        title=f"{scheme.name}, revision {scheme.revision}",
        intro=(scheme.workshop,),
        sections=sections,
        note=scheme.note,
    )


def list_files(folder: Path) -> tuple[Path, ...]:
    """Every file below a folder, relative to it, sorted."""
    return tuple(sorted(p.relative_to(folder) for p in folder.rglob("*") if p.is_file()))


def _write_run(run: SheetRun, folder: Path) -> tuple[Figure, ...]:
    if run.sheets:
        write_pdf(run_drawing(run), folder / "sheets" / "sheets.pdf")
    return ()


def _write_sheet(run: SheetRun, index: int, folder: Path) -> tuple[Figure, ...]:
    sheet = run.sheets[index]
    name = f"sheets/sheet-{sheet.number:03d}.svg"
    write_svg(sheet_drawing(run, sheet), folder / name)
    caption = f"Sheet {sheet.number} of {sheet.of}: {len(sheet.items)} decals"
    return (Figure(name, name, caption, caption),)


def _write_papers(
    scheme: Scheme, order: Order, layouts: tuple[Layout, ...], folder: Path, address: str
) -> tuple[Figure, ...]:
    drawings = {
        "proof": proof_drawing(scheme, order, layouts),
        "card": card_drawing(scheme, order, layouts, address),
    }
    if any(layout.placements for layout in layouts):
        drawings["template"] = template_drawing(scheme, order, layouts)
    figures = []
    for kind, drawing in drawings.items():
        name = f"{kind}s/{file_stem(order.key)}-{kind}"
        write_pdf(drawing, folder / f"{name}.pdf")
        write_png(drawing, folder / f"{name}.png", page=0, px_per_mm=_PREVIEW_PX_PER_MM)
        caption = f"{kind.capitalize()} of {order.key}, {order.player}"
        figures.append(Figure(f"{name}.png", f"{name}.pdf", caption, caption))
    return tuple(figures)


def _sheet_section(run: SheetRun, figures: list[tuple[Figure, ...]]) -> Section:
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
        figures=_all(figures),
        files=("sheets/sheets.pdf",) if run.sheets else (),
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
