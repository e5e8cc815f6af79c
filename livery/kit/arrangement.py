"""Where surfaces and items stand on a page when they are shown side by side at one scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from livery.geometry import Affine
from livery.kit.bat_drawing import BatView
from livery.kit.drawing_style import place_on_page
from livery.kit.kit_drawing import item_bounds
from livery.kit.model import KitItem

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Room:
    """Space kept round each picture for what is written there, page mm.

    [source: workshop-choice]
    """

    left: float = 14.0
    right: float = 34.0
    above: float = 12.0
    below: float = 14.0


LETTERED = Room()
"""Room for dimensions on the left and below, datums on the right, a title above."""
CLOSE = Room(4.0, 4.0, 8.0, 8.0)
"""Room for a line of words above and below."""


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A row of pictures on a page.

    Attributes:
        width_mm, height_mm: of the page that holds them.
        places: each picture's frame to the page, in the order given; artwork, zones and limits
            drawn under the same map fall in place.
    """

    width_mm: float
    height_mm: float
    places: tuple[Affine, ...]


def arrange_surfaces(item: KitItem, scale: float = 1.0, room: Room = LETTERED) -> Arrangement:
    """All surfaces of an item in a row, hanging from one line.

    Args:
        item: the kit; places come in the order of its surfaces.
        scale: drawn size over true size.
        room: kept round each.
    """
    bounds = [surface.outline.bounds for surface in item.surfaces]
    hung = [(x0, 0.0, x1, y1 - y0) for x0, y0, x1, y1 in bounds]
    row = _row(hung, scale, room)
    places = tuple(
        place @ Affine.translation(0.0, -box[1])
        for place, box in zip(row.places, bounds, strict=True)
    )
    return Arrangement(row.width_mm, row.height_mm, places)


def arrange_items(
    items: Sequence[KitItem],
    scale: float,
    view: BatView = BatView.FACE,
    room: Room = CLOSE,
) -> Arrangement:
    """Items in a row with their origins level: bats by the bottom of the grip.

    Args:
        items: sizes of one model, or a player's kit.
        scale: drawn size over true size.
        view: from where bats are seen.
        room: kept round each.
    """
    return _row([item_bounds(item, view) for item in items], scale, room)


def _row(bounds: Sequence[Bounds], scale: float, room: Room) -> Arrangement:
    """Boxes of frames with y down, side by side with their origins level."""
    top = min((box[1] for box in bounds), default=0.0) * scale
    end = max((box[3] for box in bounds), default=0.0) * scale
    height = room.above + (end - top) + room.below
    places, x = [], 0.0
    for x0, _, x1, _ in bounds:
        places.append(place_on_page(x + room.left - x0 * scale, height - room.above + top, scale))
        x += room.left + (x1 - x0) * scale + room.right
    return Arrangement(x, height, tuple(places))
