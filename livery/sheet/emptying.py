"""Making a nesting's sheets fewer by a counted amount of work: the emptiest gives to the others.

Source: how full a sheet is thought to go [source: workshop-choice].
"""

from __future__ import annotations

import random

from livery.sheet.compaction import LOOKS_TO_SETTLE, SHORT_PATIENCE, Workshop
from livery.sheet.separation import separate
from livery.sheet.silhouette import Spot, area_of

FULLEST = 0.9
"""Most of a sheet that silhouettes are tried to take."""


def empty_last(
    sheets: list[list[Spot]], shop: Workshop, most_looks: int, rounds: int = 1
) -> list[list[Spot]]:
    """Move silhouettes of the emptiest sheet to others, making room there.

    Args:
        sheets: sound sheets.
        shop: of the run; its looks are used up.
        most_looks: how many of them at most.
        rounds: how often to try again what found no room.

    Returns:
        Sound sheets, fewer where all silhouettes of one found room.
    """
    chance, stop = random.Random(0), shop.looks - min(most_looks, shop.looks)
    sheets = [list(spots) for spots in sheets]
    while len(sheets) > 1 and shop.looks > stop:
        last = min(range(len(sheets)), key=lambda n: (area_of(sheets[n], shop.pieces), -n))
        giving = sheets.pop(last)
        free = [_roomy(shop) - area_of(spots, shop.pieces) for spots in sheets]
        if sum(free) < area_of(giving, shop.pieces):
            return [*sheets[:last], giving, *sheets[last:]]
        left = sorted(giving, key=lambda s: -shop.pieces[s.key].area.area)
        for _ in range(rounds):
            while left and _take_in(sheets, left[0], shop, stop, chance):
                del left[0]
        if left:
            return [*sheets[:last], left, *sheets[last:]]
    return sheets


def _roomy(shop: Workshop) -> float:
    return FULLEST * shop.room.width_mm * shop.room.height_mm


def _take_in(
    sheets: list[list[Spot]], spot: Spot, shop: Workshop, stop: int, chance: random.Random
) -> bool:
    """Add a silhouette to the first sheet, emptiest first, that can be made to hold it."""
    wanted = shop.pieces[spot.key].area.area
    for number in sorted(range(len(sheets)), key=lambda n: (area_of(sheets[n], shop.pieces), n)):
        if shop.looks <= stop or _roomy(shop) - area_of(sheets[number], shop.pieces) < wanted:
            return False
        spots = [*sheets[number], spot]
        board = shop.board(spots, shop.room.height_mm, chance)
        found = None
        if board.bring_in():
            board.measure()
            board.improve(len(spots) - 1, float("inf"))
            if separate(board, SHORT_PATIENCE, board.looks + shop.looks - stop):
                shop.looks -= LOOKS_TO_SETTLE * len(spots)
                found = shop.free(board, spots)
        shop.looks -= board.looks + len(spots)
        if found is not None and found[0] <= shop.room.height_mm:
            sheets[number] = found[1]
            return True
    return False
