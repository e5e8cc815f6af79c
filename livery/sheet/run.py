"""From orders to sheets: count, check sizes, nest, inspect, hash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from livery.errors import SeasonError
from livery.placement.model import Layout
from livery.scheme.model import Scheme
from livery.sheet.fingerprint import hash_content
from livery.sheet.keeping import keep_placements
from livery.sheet.laying import field_of, find_unsound, lay_sheets
from livery.sheet.model import Nesting, Sheet, SheetRun, Watch, unwatched
from livery.sheet.placing import place_all, place_kits, recall, share
from livery.sheet.preparation import Job, list_oversize, prepare
from livery.sheet.tally import count_decals


def make_sheets(
    scheme: Scheme,
    layouts: Sequence[Layout],
    options: Nesting | None = None,
    watch: Watch = unwatched,
) -> SheetRun:
    """Put every decal of the orders on sheets of the profile's stock.

    The same season gives the same sheets on every machine.

    Args:
        scheme: the season, with its profile, palette and spares.
        layouts: of the orders, from placement; those of the range are not printed.
        options: how to nest; None takes the defaults.
        watch: told of progress.

    Returns:
        The run. Without orders it has no sheets and a note that says so.

    Raises:
        SeasonError: a decal is larger than the stock allows; every such decal is named.
    """
    tally = count_decals(scheme, layouts)
    job = prepare(scheme, tally, options or Nesting())
    if not tally.copies:
        return _finish(scheme, job, [], ("The season has no orders with decals: nothing prints.",))
    if faults := list_oversize(scheme, job):
        raise SeasonError(*faults)
    if job.options.kits_together:
        placed, notes = place_kits(job, watch)
        return _finish(scheme, job, lay_sheets(job, placed), notes)
    spots_of, notes = recall(job)
    if spots_of is None:
        spots_of, more = place_all(job, watch)
        notes += more
    run = _finish(scheme, job, lay_sheets(job, share(job, spots_of)), notes)
    kept = keep_placements(spots_of, job.request) if job.options.search_seconds else ""
    return replace(run, placements=kept)


def _finish(scheme: Scheme, job: Job, sheets: Sequence[Sheet], notes: tuple[str, ...]) -> SheetRun:
    """Inspect and hash.

    Raises:
        RuntimeError: a sheet breaks its spacing: a fault of the nesting itself.
    """
    if wrong := find_unsound(sheets, job):
        raise RuntimeError(f"sheet {wrong} does not keep its spacing")
    decals = job.tally.decals
    facts = (scheme.name, scheme.workshop, str(scheme.revision), scheme.date)
    keys = [job.shape_of[item.decal] for sheet in sheets for item in sheet.items]
    inside = sum(job.pieces[key].inside_mm2 for key in keys)
    boxes = [field_of(sheet, job) for sheet in sheets]
    room = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes)
    return SheetRun(
        tuple(sheets),
        decals,
        scheme.palette,
        job.profile,
        scheme.name,
        scheme.revision,
        scheme.date,
        hash_content(sheets, decals, scheme.palette, job.profile, facts),
        inside / room if room else 0.0,
        scheme.workshop,
        notes,
    )
