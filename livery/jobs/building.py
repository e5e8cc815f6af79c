"""Everything the printer, the bench and the signer need, from one season."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from threading import Event
from types import MappingProxyType
from typing import TypeVar

from livery.crew import Task, Watch, unwatched
from livery.jobs.index import IndexPage, Section, render_index
from livery.jobs.ink_papers import ink_tasks, inks_section
from livery.jobs.making import Kept, Made, Workbench
from livery.jobs.narrowing import unpriced
from livery.jobs.order_papers import papers_section, papers_task
from livery.jobs.player_papers import order_tasks, orders_section
from livery.jobs.range_drawings import range_section, range_tasks
from livery.jobs.sheet_files import (
    bound_sheets,
    measured_areas,
    sheet_tasks,
    sheets_section,
)
from livery.jobs.survey import Survey
from livery.proof import Proof
from livery.scheme.model import ThroughCut
from livery.sheet import Areas, Nesting, SheetRun, make_sheets, sum_areas
from livery.units import format_count
from livery.writing import StagedFolder, write_whole

PLACEMENTS = Path("sheets") / "placements.json"
_MOST_ORDERS = 6

T = TypeVar("T")


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
        beside: tasks to be done while decals are nested.
        offered: by order, the revision to list and draw the changes from.

    Returns:
        Sections of the index page, and what came of the tasks beside.

    Raises:
        LiveryError: a sheet cannot be made or a file not written.
    """
    scheme = found.scheme
    options = _kept_placements(nesting or Nesting(), staged.target / PLACEMENTS)
    together = options.kits_together or scheme.profile.through_cut is ThroughCut.KITS
    options = replace(options, kits_together=together)
    orders = order_tasks(found, address, offered)
    early = orders[: len(orders) // 2]  # the others wait, to fill the time of the order papers
    with (
        _aside(lambda _: found.preflight, watch),
        _aside(partial(make_sheets, scheme, found.layouts, options), watch) as nested,
    ):
        first = bench.do([*beside, *early], "drawing first papers")
        run = nested.result()
    if run.placements:
        write_whole(staged.path / PLACEMENTS, run.placements)
    sheets = bench.do(sheet_tasks(unpriced(run)), "drawing sheets", bound_sheets(unpriced(run)))
    areas = sum_areas(run, measured_areas(sheets))
    groups = (
        [papers_task(scheme, run, areas)] if run.sheets else [],
        orders[len(early) :],
        range_tasks(found),
        ink_tasks(run),
    )
    done = iter(bench.do([task for group in groups for task in group], "drawing papers"))
    papers, later, plans, inks = ([next(done) for _ in group] for group in groups)
    made = [sheets, papers, [*first[len(beside) :], *later], plans, inks]
    return _sections(found, run, areas, made), first[: len(beside)]


@contextmanager
def _aside(call: Callable[[Watch], T], watch: Watch) -> Iterator[Future[T]]:
    """Have one thing done while this thread waits on others.

    What goes wrong inside the block stops it where it next tells of its progress.
    """
    stopped = Event()

    def tell(stage: str, done: int, total: int) -> None:
        if stopped.is_set():
            raise CancelledError
        watch(stage, done, total)

    with ThreadPoolExecutor(1) as thread:
        try:
            yield thread.submit(call, tell)
        except BaseException:
            stopped.set()
            raise


def _sections(
    found: Survey, run: SheetRun, areas: Areas, made: list[list[Kept]]
) -> tuple[Section, ...]:
    sheets, papers, orders, plans, inks = (
        tuple(figure for one in group for figure in one.figures) for group in made
    )
    return (
        _findings_section(found),
        range_section(plans),
        sheets_section(run, sheets),
        *((orders_section(orders),) if orders else ()),
        *((papers_section(run, areas, papers),) if run.sheets else ()),
        inks_section(run, inks),
    )


def _findings_section(found: Survey) -> Section:
    broken = [f for f in found.findings if not f.ok]
    held = len(found.findings) - len(broken)
    touched = found.orders_by_finding
    rows = tuple(
        (str(f.severity), f.subject + _of_orders(touched.get(f, ())), f.text, f.source)
        for f in sorted(broken, key=lambda f: f.severity != "limit")
    )
    return Section(
        "findings",
        "Limits",
        (
            f"{format_count(len(found.findings), 'check')}: {held:,} hold, "
            f"{format_count(len(found.broken), 'limit')} broken, "
            f"{format_count(len(broken) - len(found.broken), 'piece')} of advice.",
        ),
        head=("severity", "where", "what", "source"),
        rows=rows,
    )


def _of_orders(keys: Sequence[str]) -> str:
    more = f" and {len(keys) - _MOST_ORDERS} more" if len(keys) > _MOST_ORDERS else ""
    return f"; orders {', '.join(keys[:_MOST_ORDERS])}{more}" if keys else ""


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
