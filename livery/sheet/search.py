"""A denser nesting by a search limited by time, for those who ask: its result must be kept.

The search moves true shapes in a strip. For sheets the strip is as wide as a sheet is high, and
what ends within a sheet's width is a sheet. For a roll the strip is the roll.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import MultiPolygon

from livery.sheet.compaction import height_of
from livery.sheet.model import Watch, unwatched
from livery.sheet.settling import Solids, settle
from livery.sheet.silhouette import Room, Silhouette, Spot

Point = tuple[float, float]

_TRIES = 3
_FULLEST = 0.97


def search_sheets(
    wanted: Sequence[tuple[Silhouette, int]],
    room: Room,
    seconds: int,
    seed: int = 0,
    watch: Watch = unwatched,
    *,
    roll: bool = False,
) -> list[list[Spot]] | None:
    """Fill sheet after sheet, each with as many of the largest left as the search can seat.

    The last length of a roll is then sought as short as it goes.

    One worker and a fixed seed repeat themselves on one machine; a faster machine gets further in
    the same time, so callers keep the result.

    Args:
        wanted: silhouettes with how many of each; each fits the room.
        room: the sheets' usable area.
        seconds: for each attempt; up to three attempts a sheet.
        seed: of the search.
        watch: told of progress.
        roll: whether what is left of a sheet's height stays on the roll.

    Returns:
        Spots a sheet, or None where the search finds no way to seat even one silhouette.
    """
    pieces = {piece.key: piece for piece, _ in wanted}
    ordered = sorted(wanted, key=lambda pair: (-pair[0].area.area, pair[0].key))
    left = [piece.key for piece, count in ordered for _ in range(count)]
    sheets: list[list[Spot]] = []
    total = len(left)
    while left:
        watch("searching", total - len(left), total)
        spots = _fullest_sheet(left, pieces, room, seconds, seed)
        if not spots:
            return None
        sheets.append(spots)
        for spot in spots:
            left.remove(spot.key)
    if roll and sheets:
        sheets[-1] = _shortest(sheets[-1], pieces, room, seconds, seed)
    watch("searching", total, total)
    return sheets


def denser(
    found: Sequence[list[Spot]],
    plain: Sequence[list[Spot]],
    pieces: Mapping[str, Silhouette],
    *,
    roll: bool,
) -> bool:
    """Whether sheets found by the search are worth taking: fewer, or as many and not longer."""
    if len(found) != len(plain) or not roll:
        return len(found) <= len(plain)
    used, usual = (sum(height_of(spots, pieces) for spots in sheets) for sheets in (found, plain))
    return used <= usual


def _shortest(
    spots: list[Spot], pieces: Mapping[str, Silhouette], room: Room, seconds: int, seed: int
) -> list[Spot]:
    """The same silhouettes on the least length of roll, of as many attempts from other seeds."""
    keys, solids = [spot.key for spot in spots], Solids(pieces)
    tried = [(height_of(spots, pieces), spots)]
    for attempt in range(_TRIES):
        along = pack_roll(keys, pieces, room.width_mm, seconds, seed + attempt)
        settled = settle(along, solids, room.width_mm) if along else None
        tried += [settled] if settled is not None else []
    return min(tried, key=lambda one: one[0])[1]


def _fullest_sheet(
    left: list[str], pieces: Mapping[str, Silhouette], room: Room, seconds: int, seed: int
) -> list[Spot]:
    """Halve between a number that surely fits and one that fills the sheet's whole area."""
    most, area = 0, 0.0
    for key in left:
        area += pieces[key].area.area
        if area > _FULLEST * room.width_mm * room.height_mm:
            break
        most += 1
    best: list[Spot] = []
    trial, low, high = most, 0, most
    for _ in range(_TRIES):
        spots = pack_strip(left[:trial], pieces, room, seconds, seed)
        if spots is not None:
            best, low = spots, trial
        else:
            high = trial - 1
        if low >= high:
            break
        trial = max(low + 1, round(low + 0.7 * (high - low)))
    return best


def pack_strip(
    keys: Sequence[str], pieces: Mapping[str, Silhouette], room: Room, seconds: int, seed: int
) -> list[Spot] | None:
    """Seat these silhouettes on one sheet, or None when the search does not get them in."""
    rings = {key: _ring(pieces[key]) for key in keys}
    solution = _solve(keys, pieces, rings, room.height_mm, seconds, seed)
    if solution is None or solution[0] > room.width_mm:
        return None
    return solution[1]


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
