"""A denser nesting by a search limited by time, for those who ask: its result must be kept.

The search moves true shapes in a strip as wide as the sheet, and makes it short. What it finds is
settled and pressed lower by the means of the plain nesting.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon

from livery.sheet.compaction import Workshop, height_of, shorten
from livery.sheet.emptying import FULLEST
from livery.sheet.model import Watch, unwatched
from livery.sheet.nesting import nest
from livery.sheet.settling import Solids, settle
from livery.sheet.silhouette import Room, Silhouette, Spot, area_of

Point = tuple[float, float]

_TRIES = 3
_LOOKS, _LOOKS_A_PAIR = 300_000, 1_000


def search_sheets(
    plain: list[list[Spot]],
    pieces: Mapping[str, Silhouette],
    room: Room,
    seconds: int,
    seed: int = 0,
    watch: Watch = unwatched,
    *,
    roll: bool = False,
) -> list[list[Spot]]:
    """Seat silhouettes on fewer sheets, for as long as that succeeds.

    They are shared out evenly; where a share cannot be seated, the emptiest sheet gives what it
    can to the others. The shortest length of a roll is then sought shorter. One worker and a
    fixed seed repeat themselves on one machine; a faster machine gets further in the same time,
    so callers keep the result.

    Args:
        plain: sheets of the plain nesting.
        pieces: silhouettes by key.
        room: the sheets' usable area.
        seconds: for each attempt; up to three attempts a sheet.
        seed: of the search.
        watch: told of progress.
        roll: whether what is left of a sheet's height stays on the roll.

    Returns:
        Spots a sheet; the plain ones themselves where nothing better is found: fewer sheets, one
        emptier, or less of a roll.

    Source: attempts and amounts of work [source: workshop-choice].
    """
    means = _Means(pieces, room, seconds, seed, watch)
    sheets, keys = plain, [spot.key for spots in plain for spot in spots]
    while len(sheets) > 1:
        fewer = _seat_shares(_shares(keys, pieces, len(sheets) - 1), means)
        if fewer is None:
            fewer = _empty_last(sheets, means)
        before, sheets = sheets, fewer
        if len(sheets) == len(before):
            break
    if roll and sheets:
        sheets = _shorten_last(sheets, means)
    return sheets if _cost(sheets, pieces, roll) < _cost(plain, pieces, roll) else plain


@dataclass(frozen=True, slots=True, eq=False)
class _Means:
    """What a search works with (see ``search_sheets``)."""

    pieces: Mapping[str, Silhouette]
    room: Room
    seconds: int
    seed: int
    watch: Watch


def _cost(
    sheets: list[list[Spot]], pieces: Mapping[str, Silhouette], roll: bool
) -> tuple[float, float]:
    """What is to be least: the length of a roll; else the sheets, then what the emptiest holds."""
    if roll:
        return sum((height_of(spots, pieces) for spots in sheets), 0.0), 0.0
    return float(len(sheets)), min((area_of(spots, pieces) for spots in sheets), default=0.0)


def _shorten_last(sheets: list[list[Spot]], means: _Means) -> list[list[Spot]]:
    """The shortest length of a roll made shorter, where that succeeds."""
    heights = [height_of(spots, means.pieces) for spots in sheets]
    last = heights.index(min(heights))
    means.watch("searching", 0, 1)
    found = _pack([spot.key for spot in sheets[last]], means, 0.0, _TRIES)
    means.watch("searching", 1, 1)
    if found is None or found[0] >= heights[last]:
        return sheets
    return [*sheets[:last], found[1], *sheets[last + 1 :]]


def _shares(keys: Sequence[str], pieces: Mapping[str, Silhouette], count: int) -> list[list[str]]:
    """Silhouettes shared out, large and small alike, so that all shares have about one area."""
    shares: list[list[str]] = [[] for _ in range(count)]
    areas = [0.0] * count
    for key in sorted(keys, key=lambda key: (-pieces[key].area.area, key)):
        least = areas.index(min(areas))
        shares[least].append(key)
        areas[least] += pieces[key].area.area
    return shares


def _seat_shares(shares: Sequence[list[str]], means: _Means) -> list[list[Spot]] | None:
    """Each share on a sheet of its own, or None as soon as one finds no room there."""
    pieces, room, watch = means.pieces, means.room, means.watch
    fullest = FULLEST * room.width_mm * room.height_mm
    if any(sum(pieces[key].area.area for key in share) > fullest for share in shares):
        return None
    sheets = []
    for number, share in enumerate(shares):
        watch("searching", number, len(shares))
        found = _pack(share, means, room.height_mm, _TRIES)
        if found is None or found[0] > room.height_mm:
            return None
        sheets.append(found[1])
    watch("searching", len(shares), len(shares))
    return sheets


def _empty_last(sheets: list[list[Spot]], means: _Means) -> list[list[Spot]]:
    """The emptiest sheet's silhouettes moved to others: sheets fewer, or one emptier, or as given.

    A sheet is asked to take all that its free area could hold, then half of that, and so on.
    """
    pieces, room = means.pieces, means.room
    last = min(range(len(sheets)), key=lambda number: (area_of(sheets[number], pieces), -number))
    left = sorted(sheets[last], key=lambda spot: -pieces[spot.key].area.area)
    fuller = {number: spots for number, spots in enumerate(sheets) if number != last}
    for done, number in enumerate(
        sorted(fuller, key=lambda number: area_of(fuller[number], pieces))
    ):
        means.watch("searching", done, len(fuller))
        free = FULLEST * room.width_mm * room.height_mm - area_of(fuller[number], pieces)
        while left and (more := _within(left, pieces, free)):
            keys = [spot.key for spot in [*fuller[number], *more]]
            found = _pack(keys, means, room.height_mm, 1)
            if found is not None and found[0] <= room.height_mm:
                fuller[number] = found[1]
                left = [spot for spot in left if spot not in more]
                break
            free = area_of(more, pieces) / 2.0
    if len(left) == len(sheets[last]):
        return sheets
    counts = Counter(spot.key for spot in left)
    rest = nest([(pieces[key], count) for key, count in counts.items()], room)
    return [*fuller.values(), *(rest if len(rest) <= 1 else [left])]


def _within(spots: Sequence[Spot], pieces: Mapping[str, Silhouette], free_mm2: float) -> list[Spot]:
    """The largest spots, then ever smaller ones, that together have no more than an area."""
    chosen = []
    for spot in spots:
        if pieces[spot.key].area.area <= free_mm2:
            chosen.append(spot)
            free_mm2 -= pieces[spot.key].area.area
    return chosen


def _pack(
    keys: Sequence[str], means: _Means, enough_mm: float, tries: int
) -> tuple[float, list[Spot]] | None:
    """Silhouettes in the least height found from a few seeds, or the first that is low enough."""
    needed, room = {key: means.pieces[key] for key in keys}, means.room
    solids = Solids(needed)
    tried: list[tuple[float, list[Spot]]] = []
    for attempt in range(tries):
        along = pack_roll(keys, needed, room.width_mm, means.seconds, means.seed + attempt)
        settled = settle(along, solids, room.width_mm) if along else None
        if settled is None:
            continue
        if settled[0] > enough_mm:
            looks = min(_LOOKS, _LOOKS_A_PAIR * len(keys) ** 2)
            spots = shorten(settled[1], Workshop(needed, room, looks), looks, means.seed + attempt)
            settled = height_of(spots, needed), spots
        tried.append(settled)
        if settled[0] <= enough_mm:
            break
    return min(tried, key=lambda one: one[0]) if tried else None


def pack_roll(
    keys: Sequence[str], pieces: Mapping[str, Silhouette], width_mm: float, seconds: int, seed: int
) -> list[Spot] | None:
    """Seat these silhouettes on a short length of roll, or None when the search cannot.

    The strip runs up the roll: silhouettes enter it turned a quarter to the right, and all that is
    found is turned back.
    """
    rings = {key: [(y, -x) for x, y in _ring(pieces[key])] for key in keys}
    solution = _solve(keys, pieces, rings, width_mm, seconds, seed)
    if solution is None:
        return None
    return [Spot(s.key, width_mm - s.y_mm, s.x_mm, s.turn_deg) for s in solution[1]]


def _solve(
    keys: Sequence[str],
    pieces: Mapping[str, Silhouette],
    rings: Mapping[str, list[Point]],
    across_mm: float,
    seconds: int,
    seed: int,
) -> tuple[float, list[Spot]] | None:
    """Length of strip used and where each ring stands in it, or None when the search fails."""
    import spyrrow

    if not keys:
        return None
    counts = Counter(keys)
    names = list(counts)
    items = [
        spyrrow.Item(str(number), rings[key], counts[key], list(pieces[key].turns_deg))
        for number, key in enumerate(names)
    ]
    instance = spyrrow.StripPackingInstance("sheet", across_mm, items)
    config = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=seconds, num_workers=1, seed=seed
    )
    try:
        solution = instance.solve(config)
    except BaseException as error:  # the engine's panics derive from BaseException alone
        if isinstance(error, KeyboardInterrupt | SystemExit):
            raise
        return None
    return solution.width, [
        Spot(names[int(item.id)], item.translation[0], item.translation[1], item.rotation % 360.0)
        for item in solution.placed_items
    ]


def _ring(piece: Silhouette) -> list[Point]:
    """The outer boundary; loose parts together as their hull, as the search moves single rings."""
    area = piece.area.convex_hull if isinstance(piece.area, MultiPolygon) else piece.area
    ring = shapely.get_coordinates(shapely.get_exterior_ring(area))
    return [(float(x), float(y)) for x, y in ring[:-1]]
