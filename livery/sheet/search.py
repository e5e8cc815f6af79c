"""A denser nesting by a search limited by time, for those who ask: its result must be kept.

The search moves true shapes in a strip. Here the strip is as wide as a sheet is high, and what
ends within a sheet's width is a sheet.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import MultiPolygon

from livery.sheet.model import Watch, unwatched
from livery.sheet.silhouette import Room, Silhouette, Spot

_TRIES = 3
_FULLEST = 0.97


def search_sheets(
    wanted: Sequence[tuple[Silhouette, int]],
    room: Room,
    seconds: int,
    seed: int = 0,
    watch: Watch = unwatched,
) -> list[list[Spot]] | None:
    """Fill sheet after sheet, each with as many of the largest left as the search can seat.

    One worker and a fixed seed repeat themselves on one machine; a faster machine gets further in
    the same time, so callers keep the result.

    Args:
        wanted: silhouettes with how many of each; each fits the room.
        room: the sheets' usable area.
        seconds: for each attempt; up to three attempts a sheet.
        seed: of the search.
        watch: told of progress.

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
    watch("searching", total, total)
    return sheets


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
    import spyrrow

    if not keys:
        return None
    items = [
        spyrrow.Item(str(number), _ring(pieces[key]), count, list(pieces[key].turns_deg))
        for number, (key, count) in enumerate(Counter(keys).items())
    ]
    names = list(Counter(keys))
    instance = spyrrow.StripPackingInstance("sheet", room.height_mm, items)
    config = spyrrow.StripPackingConfig(
        early_termination=True, total_computation_time=seconds, num_workers=1, seed=seed
    )
    try:
        solution = instance.solve(config)
    except BaseException as error:  # the engine's panics derive from BaseException alone
        if isinstance(error, KeyboardInterrupt | SystemExit):
            raise
        return None
    if solution.width > room.width_mm:
        return None
    return [
        Spot(names[int(item.id)], item.translation[0], item.translation[1], item.rotation % 360.0)
        for item in solution.placed_items
    ]


def _ring(piece: Silhouette) -> list[tuple[float, float]]:
    """The outer boundary; loose parts together as their hull, as the search moves single rings."""
    area = piece.area.convex_hull if isinstance(piece.area, MultiPolygon) else piece.area
    ring = shapely.get_coordinates(shapely.get_exterior_ring(area))
    return [(float(x), float(y)) for x, y in ring[:-1]]
