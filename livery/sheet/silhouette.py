"""What is nested: silhouettes, the room they go in, and where they stand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import shapely

from livery.geometry import Area


@dataclass(frozen=True, slots=True, eq=False)
class Silhouette:
    """What must stay clear of everything else, in a frame of its own, mm, y up.

    Attributes:
        key: equal keys are equal areas with equal freedom to turn.
        area: the cut outline grown by half the spacing.
        turns_deg: allowed turns, counter-clockwise, multiples of 90.
        inside_mm2: area within the cut outline, for densities.
    """

    key: str
    area: Area
    turns_deg: tuple[float, ...]
    inside_mm2: float


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a silhouette's own origin stands in the room, mm, and its turn."""

    key: str
    x_mm: float
    y_mm: float
    turn_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class Room:
    """The area of each sheet in which silhouettes must lie.

    Attributes:
        cell_mm: pitch of the grid on which positions are sought.
    """

    width_mm: float
    height_mm: float
    cell_mm: float


def fits(piece: Silhouette, room: Room) -> bool:
    """Whether a silhouette goes into an empty room in an allowed turn, whole cells counted."""
    x0, y0, x1, y1 = piece.area.bounds
    width, height = x1 - x0, y1 - y0
    columns, rows = room.width_mm - room.cell_mm, room.height_mm - room.cell_mm
    upright = width <= columns and height <= rows
    return upright or (len(piece.turns_deg) > 1 and height <= columns and width <= rows)


def turned_area(area: Area, turn_deg: float) -> Area:
    """An area turned counter-clockwise about its own origin."""
    return shapely.affinity.rotate(area, turn_deg, origin=(0, 0)) if turn_deg else area


def spot_area(piece: Silhouette, spot: Spot) -> Area:
    """A silhouette where it stands."""
    area = turned_area(piece.area, spot.turn_deg)
    return shapely.affinity.translate(area, spot.x_mm, spot.y_mm)


def area_of(spots: Iterable[Spot], pieces: Mapping[str, Silhouette]) -> float:
    """What silhouettes take together, mm²."""
    return sum(pieces[spot.key].area.area for spot in spots)
