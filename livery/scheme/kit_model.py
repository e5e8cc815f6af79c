"""Kit as a season names it: bats, gloves and pads, their sizes and panels. Lengths mm."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path


@dataclass(frozen=True, slots=True)
class BladeDims:
    """Dimensions of one bat size, mm. ``source`` names where each number comes from.

    Attributes:
        overall_length: handle's top to toe.
        blade_length: shoulder's start (handle entry) to toe.
        exposed_handle: handle's top to the handle entry.
        grip_below_entry: how far the grip runs below the handle entry, over the shoulders.
        shoulder_length: handle entry to where the full width is first reached.
        width, edge_thickness, spine_height: the blade's, at its widest and thickest.
        handle_width: of the handle at its entry to the blade.
        spine_from_toe: where the spine is highest, from the toe.
        toe_radius: rounding of the toe's two corners in the face view.
        toe_thickness: depth at the toe.
        taper: width lost from its widest to the toe, in all.
        hollow: form of the back across, from edge to spine: -1 elliptic (a half-cylinder where
            the rise is half the width), 0 straight, +1 fully hollowed flanks and a round spine.
        swell: fullness of edge and spine along the blade; 1 straight, larger keeps height longer.
        entry_share: edge and spine at the handle entry, as a share of their greatest, 0..1.
        shoulder_power: 1 straight shoulders, 2 rounded, larger squarer.
        bow: how far the middle of the face stands before the straight line from entry to toe.
        spine_offset: of the spine from the centre line where the blade is widest, positive to
            the right as you look at the face; it narrows with the blade.
    """

    overall_length: float
    blade_length: float
    exposed_handle: float
    grip_below_entry: float
    shoulder_length: float
    width: float
    edge_thickness: float
    spine_height: float
    handle_width: float
    spine_from_toe: float
    toe_radius: float
    toe_thickness: float
    taper: float
    source: str
    hollow: float = 0.6
    swell: float = 2.0
    entry_share: float = 0.55
    shoulder_power: float = 2.0
    bow: float = 0.0
    spine_offset: float = 0.0


@dataclass(frozen=True, slots=True)
class BatModel:
    """A model of bat: its sizes, each with dimensions (size table plus the season's overrides).

    Attributes:
        outlines: (size, SVG file) pairs: sizes whose face is drawn instead of computed.
    """

    key: str
    name: str
    sizes: tuple[str, ...]
    dims: tuple[BladeDims, ...]  # one per size, same order
    outlines: tuple[tuple[str, Path], ...] = ()


class ItemKind(StrEnum):
    """Kinds of kit."""

    BAT = "bat"
    GLOVE = "glove"
    PAD = "pad"


SURFACES: dict[ItemKind, tuple[str, ...]] = {
    ItemKind.BAT: ("face", "back", "edge-left", "edge-right"),
    ItemKind.GLOVE: ("back-of-hand", "cuff", "thumb"),
    ItemKind.PAD: ("front-shin", "knee-roll", "wing"),
}
"""Surfaces that decals may be placed on; gloves and pads have further panels without decals."""


@dataclass(frozen=True, slots=True)
class Panel:
    """A panel of a glove or pad: its ink and material."""

    panel: str
    ink: str
    material: str


@dataclass(frozen=True, slots=True)
class SoftSize:
    """A size of gloves or pads, as its length is measured.

    Attributes:
        low_mm, high_mm: gloves, wrist to longest fingertip; pads, mid-kneecap to instep.
    """

    key: str
    name: str
    kind: ItemKind
    low_mm: float
    high_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class SoftKit:
    """A pair of gloves or pads in the season: its sizes and its panels' inks."""

    key: str
    name: str
    kind: ItemKind
    sizes: tuple[str, ...]
    panels: tuple[Panel, ...]
