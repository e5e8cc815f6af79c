"""Where every copy goes: kept placements, the plain nesting, a search's, or kits as blocks."""

from __future__ import annotations

from collections import Counter, defaultdict, deque
from collections.abc import Mapping, Sequence

import shapely

from livery.sheet.filling import fill_sheets
from livery.sheet.keeping import recall_placements
from livery.sheet.kits import Block, make_block
from livery.sheet.laying import find_unsound, lay_sheets
from livery.sheet.model import Watch
from livery.sheet.nesting import nest
from livery.sheet.preparation import Job
from livery.sheet.search import search_sheets
from livery.sheet.silhouette import Spot, spot_area
from livery.sheet.tally import Copy

_UNSEARCHED = "Kits are kept together: no search was made for denser sheets."
_UNSOUND = "Kept placements do not hold all decals soundly: nested anew."
_ALLOWANCE_MM = 0.005


def recall(job: Job) -> tuple[list[list[Spot]] | None, tuple[str, ...]]:
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
    return (
        (None, (_UNSOUND,)) if find_unsound(lay_sheets(job, share(job, kept)), job) else (kept, ())
    )


def place_all(job: Job, watch: Watch) -> tuple[list[list[Spot]], tuple[str, ...]]:
    """Nest all copies, and search for denser sheets where that is asked for."""
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


def _search_holds(sheets: list[list[Spot]], job: Job) -> bool:
    """Whether the search's silhouettes are apart and inside, to the allowance they were given."""
    limit = shapely.box(0, 0, job.room.width_mm, job.room.height_mm).buffer(_ALLOWANCE_MM)
    for spots in sheets:
        areas = [spot_area(job.pieces[s.key], s).buffer(-_ALLOWANCE_MM) for s in spots]
        left, right = shapely.STRtree(areas).query(areas, predicate="intersects")
        if (left != right).any() or not all(limit.covers(area) for area in areas):
            return False
    return True


def share(job: Job, spots_of: list[list[Spot]]) -> list[list[tuple[Copy, Spot]]]:
    """Which copy takes which spot: those of one silhouette in their order."""
    queues = _queues(job.tally.copies, job.shape_of)
    return [[(queues[s.key].popleft(), s) for s in spots] for spots in spots_of]


def _queues(copies: Sequence[Copy], shape_of: Mapping[str, str]) -> dict[str, deque[Copy]]:
    queues: dict[str, deque[Copy]] = defaultdict(deque)
    for copy in copies:
        queues[shape_of[copy.decal]].append(copy)
    return queues


def place_kits(job: Job, watch: Watch) -> tuple[list[list[tuple[Copy, Spot]]], tuple[str, ...]]:
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
