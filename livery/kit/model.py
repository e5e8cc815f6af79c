"""The things decorated, as flat surfaces in mm.

Each surface's frame: x across, positive right as you look at it; y along, positive from handle
to toe (pads: knee to instep; gloves: fingers to cuff); origin on the centre line at the datum.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon

from livery.geometry import Affine, Area, Path
from livery.scheme.model import BladeDims, Hand, ItemKind


@dataclass(frozen=True, slots=True)
class Datum:
    """A line across a surface from which y is measured, e.g. the bottom of the grip."""

    name: str
    y_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Zone:
    """A named region of a surface, where decals are allowed or barred."""

    name: str
    area: Area
    allowed: bool
    reason: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """One decorated surface, developed flat.

    Attributes:
        key: ``face``, ``back``, ``edge-left``, ``edge-right``; ``glove-back``...
        outline: the surface's boundary in its frame.
        area_mm2: true (developed) area.
        zones: named regions.
        datums: named y positions; the first is the frame's origin (y = 0).
    """

    key: str
    name: str
    outline: Polygon
    area_mm2: float
    datums: tuple[Datum, ...]
    zones: tuple[Zone, ...] = ()

    def datum(self, name: str) -> Datum:
        """The datum of that name.

        Raises:
            KeyError: no such datum.
        """
        for datum in self.datums:
            if datum.name == name:
                return datum
        raise KeyError(name)

    def zone(self, name: str) -> Zone:
        """The zone of that name.

        Raises:
            KeyError: no such zone.
        """
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise KeyError(name)


@dataclass(frozen=True, slots=True, eq=False)
class PanelShape:
    """One part of a glove or pad as it lies in a picture of the whole item.

    An item's frame is x right, y down as you look at the back of the hand (fingers up) or at the
    front of the pad (knee up), mm; the origin is the middle of the wrist or of the kneecap.

    Attributes:
        name: of the part, as people say it; several parts may share a panel.
        panel: which of the season's panels it belongs to.
        ink, material: of the panel; "" where the season names none.
        outline: in the item's frame.
        surface: key of the surface it bears, or "".
        affine: that surface's frame to the item's frame; None without a surface.
    """

    name: str
    panel: str
    ink: str
    material: str
    outline: Path
    surface: str = ""
    affine: Affine | None = None


@dataclass(frozen=True, slots=True, eq=False)
class KitItem:
    """A bat, a glove or a pad in one size and hand, with all its surfaces.

    Attributes:
        key: key of its model in the season.
        side: "" for a bat; "left" or "right" glove or pad of the pair.
        dims: of the blade, for a bat.
        panels: every part of a glove or pad, from the lowest to the topmost.
    """

    key: str
    name: str
    kind: ItemKind
    size: str
    hand: Hand
    side: str
    surfaces: tuple[Surface, ...]
    dims: BladeDims | None = None
    panels: tuple[PanelShape, ...] = ()

    def surface(self, key: str) -> Surface:
        """The surface of that key.

        Raises:
            KeyError: no such surface.
        """
        for surface in self.surfaces:
            if surface.key == key:
                return surface
        raise KeyError(key)
