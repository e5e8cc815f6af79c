"""From orders to sheets: count, check sizes, nest, inspect, hash."""

from __future__ import annotations

import math
from collections import Counter, defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from livery.errors import Fault, SeasonError
from livery.placement.model import Layout
from livery.scheme.model import Palette, PrintProfile, Scheme
from livery.sheet.filling import fill_sheets
from livery.sheet.fingerprint import hash_content
from livery.sheet.frame import Box, Frame, divide_sheet
from livery.sheet.inspection import cut_areas, place, sheet_holds
from livery.sheet.keeping import keep_placements, recall_placements, request_digest
from livery.sheet.kits import Block, make_block
from livery.sheet.model import (
    Nesting,
    Sheet,
    SheetItem,
    SheetRun,
    Watch,
    unwatched,
)
from livery.sheet.nesting import nest
from livery.sheet.pieces import liner_piece, reach_mm, spacing_mm, weeding_inset_mm
from livery.sheet.raster import Area
from livery.sheet.refusals import no_room, oversize
from livery.sheet.search import search_sheets
from livery.sheet.silhouette import Room, Silhouette, Spot, spot_area
from livery.sheet.strip import group_widths_mm
from livery.sheet.tally import (
    Copy,
    Tally,
    count_decals,
    decal_silhouette,
    print_frame,
)

_UNSEARCHED = "Kits are kept together: no search was made for denser sheets."
_UNSOUND = "Kept placements do not hold all decals soundly: nested anew."
_FINEST_CELL_MM = 0.5
_MOST_CELLS = 520_000
_ALLOWANCE_MM = 0.005


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    """What one run works with."""

    tally: Tally
    profile: PrintProfile
    frame: Frame
    field: Box  # where decals lie with all they take of the sheet
    room: Room
    pieces: Mapping[str, Silhouette]  # by silhouette key
    shape_of: Mapping[str, str]  # decal key to silhouette key
    options: Nesting
    request: str


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
    job = _prepare(scheme, tally, options or Nesting())
    if not tally.copies:
        return _finish(scheme, job, [], ("The season has no orders with decals: nothing prints.",))
    if faults := _oversize(scheme, job):
        raise SeasonError(*faults)
    if job.options.kits_together:
        placed, notes = _place_kits(job, watch)
        return _finish(scheme, job, _sheets_of(job, placed), notes)
    spots_of, notes = _recall(job)
    if spots_of is None:
        spots_of, more = _place_all(job, watch)
        notes += more
    run = _finish(scheme, job, _sheets_of(job, _share(job, spots_of)), notes)
    kept = keep_placements(spots_of, job.request) if job.options.search_seconds else ""
    return replace(run, placements=kept)


def _recall(job: _Job) -> tuple[list[list[Spot]] | None, tuple[str, ...]]:
    """Kept placements that are for these silhouettes and pass inspection."""
    if not job.options.kept:
        return None, ()
    kept = recall_placements(job.options.kept, job.request, job.pieces)
    if kept is None:
        return None, ("Kept placements are for other decals or stock: nested anew.",)
    wanted = Counter(job.shape_of[copy.decal] for copy in job.tally.copies)
    placed = [spot for spots in kept for spot in spots]
    turned = any(spot.turn_deg not in job.pieces[spot.key].turns_deg for spot in placed)
    if turned or not all(kept) or wanted != Counter(spot.key for spot in placed):
        return None, (_UNSOUND,)
    return (None, (_UNSOUND,)) if _unsound(_sheets_of(job, _share(job, kept)), job) else (kept, ())


def sheet_frame(profile: PrintProfile, palette: Palette, inks: Sequence[str]) -> Frame:
    """How the profile's sheets are divided for a run of those inks."""
    return divide_sheet(profile, group_widths_mm(profile, palette, inks))


def _prepare(scheme: Scheme, tally: Tally, options: Nesting) -> _Job:
    profile = scheme.profile
    used = {key for decal in tally.decals for key in decal.decal.inks}
    inks = [ink.key for ink in scheme.palette.inks if ink.key in used]
    frame = sheet_frame(profile, scheme.palette, inks)
    pieces: dict[str, Silhouette] = {}
    shape_of: dict[str, str] = {}
    for decal in tally.decals:
        piece = decal_silhouette(decal, scheme.palette, profile)
        pieces.setdefault(piece.key, piece)
        shape_of[decal.key] = piece.key
    field = _field(profile, frame)
    room = _room(profile, field)
    rules = [room.width_mm, room.height_mm, room.cell_mm, profile.bleed_mm, spacing_mm(profile)]
    rules += [
        profile.peel_tab_mm,
        *field,
        options.kits_together,
        options.search_seconds,
        options.seed,
    ]
    rules += [options.effort, profile.roll]
    request = request_digest(Counter(shape_of[copy.decal] for copy in tally.copies), rules)
    return _Job(tally, profile, frame, field, room, pieces, shape_of, options, request)


def _field(profile: PrintProfile, frame: Frame) -> Box:
    """The usable area, less what a cut round all decals takes of its edges."""
    x0, y0, x1, y1 = frame.usable
    inset = weeding_inset_mm(profile)
    return x0 + inset, y0 + inset, x1 - inset, y1 - inset


def _room(profile: PrintProfile, field: Box) -> Room:
    """The field, widened by what a silhouette has over a decal with its bleed or its liner."""
    x0, y0, x1, y1 = field
    over = spacing_mm(profile) / 2.0 - reach_mm(profile)
    width, height = max(x1 - x0, 0.0) + 2 * over, max(y1 - y0, 0.0) + 2 * over
    cell = max(_FINEST_CELL_MM, (width * height / _MOST_CELLS) ** 0.5)
    return Room(width, height, round(cell, 3))


def find_oversize(scheme: Scheme, layouts: Sequence[Layout]) -> tuple[Fault, ...]:
    """What of the orders no sheet of the profile's stock can hold; nothing where all can be."""
    return _oversize(scheme, _prepare(scheme, count_decals(scheme, layouts), Nesting()))


def _oversize(scheme: Scheme, job: _Job) -> tuple[Fault, ...]:
    """Every decal that no sheet can hold, or that nothing is left for any."""
    (x0, y0, x1, y1), reach = job.field, reach_mm(job.profile)
    width, height = x1 - x0 - 2 * reach, y1 - y0 - 2 * reach
    if job.tally.copies and min(width, height) <= 0.0:
        return (no_room(scheme),)
    pieces = [(decal, job.pieces[job.shape_of[decal.key]]) for decal in job.tally.decals]
    return tuple(
        oversize(scheme, decal, piece, width, height)
        for decal, piece in pieces
        if not _fits(piece, job.room)
    )


def _fits(piece: Silhouette, room: Room) -> bool:
    x0, y0, x1, y1 = piece.area.bounds
    width, height = x1 - x0, y1 - y0
    columns, rows = room.width_mm - room.cell_mm, room.height_mm - room.cell_mm
    upright = width <= columns and height <= rows
    turned = len(piece.turns_deg) > 1 and height <= columns and width <= rows
    return upright or turned


def _place_all(job: _Job, watch: Watch) -> tuple[list[list[Spot]], tuple[str, ...]]:
    counts = Counter(job.shape_of[copy.decal] for copy in job.tally.copies)
    wanted = [(job.pieces[key], count) for key, count in counts.items()]
    roll, options = job.profile.roll, job.options
    spots_of = fill_sheets(wanted, job.room, roll=roll, effort=options.effort, watch=watch)
    if not options.search_seconds:
        return spots_of, ()
    seconds, seed = options.search_seconds, options.seed
    found = search_sheets(spots_of, job.pieces, job.room, seconds, seed, watch, roll=roll)
    if found is not spots_of and _search_holds(found, job):
        return found, ()
    return spots_of, ("The search found nothing better than the plain nesting.",)


def _search_holds(sheets: list[list[Spot]], job: _Job) -> bool:
    """Whether the search's silhouettes are apart and inside, to the allowance they were given."""
    limit = shapely.box(0, 0, job.room.width_mm, job.room.height_mm).buffer(_ALLOWANCE_MM)
    for spots in sheets:
        areas = [spot_area(job.pieces[s.key], s).buffer(-_ALLOWANCE_MM) for s in spots]
        left, right = shapely.STRtree(areas).query(areas, predicate="intersects")
        if (left != right).any() or not all(limit.covers(area) for area in areas):
            return False
    return True


def _share(job: _Job, spots_of: list[list[Spot]]) -> list[list[tuple[Copy, Spot]]]:
    """Which copy takes which spot: those of one silhouette in their order."""
    queues = _queues(job.tally.copies, job.shape_of)
    return [[(queues[s.key].popleft(), s) for s in spots] for spots in spots_of]


def _queues(copies: Sequence[Copy], shape_of: Mapping[str, str]) -> dict[str, deque[Copy]]:
    queues: dict[str, deque[Copy]] = defaultdict(deque)
    for copy in copies:
        queues[shape_of[copy.decal]].append(copy)
    return queues


def _place_kits(job: _Job, watch: Watch) -> tuple[list[list[tuple[Copy, Spot]]], tuple[str, ...]]:
    """Nest kits as blocks; spares, and kits too large for one sheet, as single decals."""
    kits: dict[str, list[Copy]] = defaultdict(list)
    for copy in job.tally.copies:
        kits[copy.kit].append(copy)
    loose = kits.pop("", [])
    blocks: dict[str, Block | None] = {}
    waiting: dict[str, deque[list[Copy]]] = defaultdict(deque)
    notes = []
    for number, (name, copies) in enumerate(kits.items()):
        watch("gathering kits", number, len(kits))
        keys = sorted(job.shape_of[copy.decal] for copy in copies)
        signature = " | ".join(keys)
        if signature not in blocks:
            blocks[signature] = make_block(keys, job.pieces, job.room)
        block = blocks[signature]
        if block is None:
            loose += copies
            notes.append(f"Kit {name} is too large for one sheet; its decals are apart.")
        else:
            waiting[block.whole.key].append(copies)
    watch("gathering kits", len(kits), len(kits))
    by_key = {b.whole.key: b for b in blocks.values() if b is not None}
    singles = _queues(loose, job.shape_of)
    counts = [(by_key[key].whole, len(queue)) for key, queue in waiting.items()]
    counts += [(job.pieces[key], len(queue)) for key, queue in singles.items()]
    sheets = []
    for spots in nest(counts, job.room, watch=watch, roll=job.profile.roll):
        sheet: list[tuple[Copy, Spot]] = []
        for spot in spots:
            if spot.key in by_key:
                sheet += _unpack(by_key[spot.key], spot, waiting[spot.key].popleft(), job.shape_of)
            else:
                sheet.append((singles[spot.key].popleft(), spot))
        sheets.append(sheet)
    return sheets, (*notes, *((_UNSEARCHED,) if job.options.search_seconds else ()))


def _unpack(
    block: Block, at: Spot, copies: list[Copy], shape_of: Mapping[str, str]
) -> list[tuple[Copy, Spot]]:
    queues = _queues(copies, shape_of)
    return [
        (queues[s.key].popleft(), Spot(s.key, s.x_mm + at.x_mm, s.y_mm + at.y_mm, s.turn_deg))
        for s in block.spots
    ]


def _sheets_of(job: _Job, placed: list[list[tuple[Copy, Spot]]]) -> list[Sheet]:
    profile = job.profile
    frames = {decal.key: print_frame(decal) for decal in job.tally.decals}
    over = spacing_mm(profile) / 2.0 - reach_mm(profile)
    x0, y0 = job.field[0] - over, job.field[1] - over
    sheets = []
    for number, spots in enumerate(placed, start=1):
        items = []
        for copy, spot in spots:
            x, y = round(spot.x_mm + x0, 4), round(spot.y_mm + y0, 4)
            affine = place(x, y, spot.turn_deg, frames[copy.decal])
            items.append(SheetItem(copy.decal, affine, copy.order, copy.placement, copy.kit))
        size = (profile.stock_width_mm, profile.stock_height_mm)
        sheets.append(Sheet(number, len(placed), *size, tuple(items)))
    return _to_length(sheets, job)


def _to_length(sheets: Sequence[Sheet], job: _Job) -> list[Sheet]:
    """Sheets as they are, or of a roll only as long as their decals need, in whole mm."""
    if not job.profile.roll:
        return list(sheets)
    outlines, _, bleed = _kept_clear(job)
    above = job.frame.height_mm - job.field[3] + bleed
    lengths = [
        math.ceil(float(shapely.total_bounds(cut_areas(sheet, outlines))[3]) + above)
        for sheet in sheets
    ]
    return [
        replace(sheet, height_mm=min(float(length), sheet.height_mm))
        for sheet, length in zip(sheets, lengths, strict=True)
    ]


def _field_of(sheet: Sheet, job: _Job) -> Box:
    """Where decals lie on a sheet of its own length."""
    x0, y0, x1, y1 = job.field
    return x0, y0, x1, y1 - job.frame.height_mm + sheet.height_mm


def _finish(scheme: Scheme, job: _Job, sheets: Sequence[Sheet], notes: tuple[str, ...]) -> SheetRun:
    """Inspect and hash.

    Raises:
        RuntimeError: a sheet breaks its spacing: a fault of the nesting itself.
    """
    if wrong := _unsound(sheets, job):
        raise RuntimeError(f"sheet {wrong} does not keep its spacing")
    decals = job.tally.decals
    facts = (scheme.name, scheme.workshop, str(scheme.revision), scheme.date)
    keys = [job.shape_of[item.decal] for sheet in sheets for item in sheet.items]
    inside = sum(job.pieces[key].inside_mm2 for key in keys)
    boxes = [_field_of(sheet, job) for sheet in sheets]
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


def _unsound(sheets: Sequence[Sheet], job: _Job) -> int:
    """Number of the first sheet that breaks its spacing by exact outlines; 0 when none does."""
    areas, apart, bleed = _kept_clear(job)
    for sheet in sheets:
        if not sheet_holds(cut_areas(sheet, areas), _field_of(sheet, job), apart, bleed):
            return sheet.number
    return 0


def _kept_clear(job: _Job) -> tuple[dict[str, Area], float, float]:
    """What of each decal keeps apart, by how much, and how far its print reaches beyond.

    Exact outlines with their spacing and bleed; or pieces of liner with the gap, and nothing
    beyond. Areas are in the decals' own frames.
    """
    profile, decals = job.profile, job.tally.decals
    if profile.peel_tab_mm <= 0.0:
        outlines = {decal.key: decal.decal.outline.polygon() for decal in decals}
        return outlines, spacing_mm(profile), profile.bleed_mm
    pieces = {}
    for decal in decals:
        frame = print_frame(decal)
        piece = liner_piece(decal.decal.outline.transformed(frame).polygon(), profile)
        back = frame.inverse().for_shapely
        pieces[decal.key] = shapely.affinity.affine_transform(piece, back)
    return pieces, profile.gap_mm, 0.0
