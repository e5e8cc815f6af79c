"""The decorated surfaces of a bat's blade.

A surface begins at the bottom of the grip (y = 0): what the grip covers can carry no decal, and
leaving it out gives the smaller area, so a share-of-area limit is judged on the strict side.
Laws that measure "from the bottom of the grip" measure from the same line; which parts they call
face, back, shoulders, sides and toe is in [source: laws-blade-parts].

Sides are named as you look at the face with the handle up: ``edge-left`` is on the left of the
face, hence on the right of the back. Each surface's own x is positive to the right as you look at
that surface with the handle up; the toe is seen end-on with the face uppermost, y from the face
(0) to the back.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from livery.errors import Fault, InputError
from livery.geometry import Area, Path, areal
from livery.kit.development import (
    Development,
    develop_back,
    develop_edge,
    develop_face,
    develop_toe,
    spine_line,
)
from livery.kit.model import Datum, KitItem, Surface, Zone
from livery.kit.outline import dims_as_drawn, place_outline, profile_from_outline
from livery.kit.section import Array, BladeProfile, profile_of
from livery.scheme.model import BatModel, BladeDims, Hand, ItemKind

HITTING_ZONE_MM = (102.0, 305.0)  # from the toe [source: retailer-hitting-zone]
TOE_STRIP_MM = 10.0  # room for a toe guard [source: workshop-choice]
SPINE_STRIP_MM = 16.0  # across the spine [source: workshop-choice]
SPLICE_SHARE = 0.27  # of the blade's length, entry to splice's point [source: workshop-choice]

_FAR_MM = 1e5  # wider than anything drawn
_STRAIGHT_MM = 1e-6  # far below what anything can be cut to [source: workshop-choice]


def build_bat(
    model: BatModel, size: str, hand: Hand = Hand.RIGHT, outline: Path | None = None
) -> KitItem:
    """A bat of one size with its developed surfaces.

    Args:
        model: the season's model of bat.
        size: one of its sizes.
        hand: the batter's; a bat's surfaces are alike for both, placements may mirror.
        outline: the face as drawn, mm, x right, y down, handle up, from the handle's entry to the
            toe, anywhere on its page; instead of the parametric one.

    Raises:
        InputError: no such size, incoherent dimensions, or an outline that does not fit them.
    """
    if size not in model.sizes:
        known = ", ".join(model.sizes)
        raise InputError(
            Fault("season", model.key, None, f"size {size!r} unknown", f"Use one of {known}.")
        )
    dims = model.dims[model.sizes.index(size)]
    if outline is not None:
        outline = place_outline(dims, outline)
    surfaces = _computed(dims) if outline is None else build_surfaces(dims, outline)
    if outline is not None:
        dims = dims_as_drawn(dims, outline)  # the Laws judge what is made
    return KitItem(model.key, model.name, ItemKind.BAT, size, hand, "", surfaces, dims)


@lru_cache(maxsize=64)
def _computed(dims: BladeDims) -> tuple[Surface, ...]:
    """Models of one size mostly share its dimensions, and so its surfaces."""
    return build_surfaces(dims)


def build_surfaces(dims: BladeDims, outline: Path | None = None) -> tuple[Surface, ...]:
    """Face, back, both edges and the toe of a blade.

    Args:
        dims: the blade's dimensions.
        outline: the face's own outline in its frame (``place_outline``).

    Raises:
        InputError: incoherent dimensions, or an outline that does not fit them.
    """
    whole = profile_of(dims) if outline is None else profile_from_outline(dims, outline)
    profile = whole.from_grip()
    return (
        _face(profile, dims),
        _back(profile, dims),
        _edge(profile, right=False),
        _edge(profile, right=True),
        *_toe(profile),
    )


def _face(profile: BladeProfile, dims: BladeDims) -> Surface:
    strip = develop_face(profile)
    outline, datums = _outline(strip.ring), _datums(strip, profile)
    near, far = HITTING_ZONE_MM
    toe = strip.y_mm[-1]
    zones = [
        *_common_zones(strip, profile, dims),
        Zone(
            "hitting-zone",
            _band(outline, toe - far, toe - near),
            True,
            "the ball is struck here; a retailer's figure, advice only",
        ),
    ]
    return Surface("face", "Face", outline, strip.area_mm2, datums, _kept(zones))


def _back(profile: BladeProfile, dims: BladeDims) -> Surface:
    strip = develop_back(profile)
    outline, datums = _outline(strip.ring), _datums(strip, profile)
    end = float(strip.y_mm[-1]) - TOE_STRIP_MM
    spine = _spine_strip(strip, profile).intersection(box(-_FAR_MM, datums[1].y_mm, _FAR_MM, end))
    zones = [
        *_common_zones(strip, profile, dims),
        Zone("spine", areal(outline.intersection(spine)), True, "film must bend over the spine"),
    ]
    return Surface("back", "Back", outline, strip.area_mm2, datums, _kept(zones))


def _spine_strip(strip: Development, profile: BladeProfile) -> BaseGeometry:
    ridge, half = spine_line(profile), SPINE_STRIP_MM / 2
    left, right = (np.column_stack([ridge + x, strip.y_mm]) for x in (-half, half))
    return Polygon(np.concatenate([left, right[::-1]])).simplify(1e-6)


def _edge(profile: BladeProfile, *, right: bool) -> Surface:
    strip = develop_edge(profile, right=right)
    side = "right" if right else "left"
    outline, datums = _outline(strip.ring), _datums(strip, profile)
    zones = (_shoulder_zone(outline, datums), _toe_zone(outline, strip))
    return Surface(
        f"edge-{side}", f"{side.capitalize()} edge", outline, strip.area_mm2, datums, _kept(zones)
    )


def _toe(profile: BladeProfile) -> tuple[Surface, ...]:
    """The toe's surface; none where a drawn outline runs to a point between its edges."""
    strip = develop_toe(profile)
    if len(strip.y_mm) < 2:
        return ()
    outline = _outline(strip.ring[:, ::-1])
    deepest = float(strip.right_mm.max())
    datums = (Datum("face", 0.0), Datum("middle", deepest / 2), Datum("toe", deepest))
    guard = Zone("toe-guard", outline, False, "kept for the toe guard")
    return (Surface("toe", "Toe", outline, strip.area_mm2, datums, (guard,)),)


def _outline(ring: Array) -> Polygon:
    """A ring of corners without those that lie on a straight side."""
    outline = Polygon(ring).simplify(_STRAIGHT_MM)
    return outline if isinstance(outline, Polygon) else Polygon(ring)


def _datums(strip: Development, profile: BladeProfile) -> tuple[Datum, ...]:
    toe = float(strip.y_mm[-1])
    return (
        Datum("grip-bottom", 0.0),
        Datum("shoulder", strip.y_at(profile.shoulder_mm)),
        Datum("middle", toe / 2),
        Datum("toe", toe),
    )


def _common_zones(strip: Development, profile: BladeProfile, dims: BladeDims) -> list[Zone]:
    outline = Polygon(strip.ring)
    tip = strip.y_at(SPLICE_SHARE * dims.blade_length)
    half, entry = dims.handle_width / 2, strip.y_at(0.0)
    vee = Polygon([(-half, entry), (half, entry), (0.0, tip)])
    return [
        _shoulder_zone(outline, _datums(strip, profile)),
        Zone(
            "splice",
            areal(outline.intersection(vee)),
            True,
            "the handle's splice shows here; ask a person before covering it",
        ),
        _toe_zone(outline, strip),
    ]


def _shoulder_zone(outline: Polygon, datums: tuple[Datum, ...]) -> Zone:
    reason = "shoulders are neither face nor back to the Laws"
    return Zone("shoulders", _band(outline, -_FAR_MM, datums[1].y_mm), True, reason)


def _toe_zone(outline: Polygon, strip: Development) -> Zone:
    toe = float(strip.y_mm[-1])
    return Zone(
        "toe-strip", _band(outline, toe - TOE_STRIP_MM, _FAR_MM), False, "kept for the toe guard"
    )


def _band(outline: Polygon, y0: float, y1: float) -> Area:
    if y1 <= y0:
        return Polygon()
    return areal(outline.intersection(box(-_FAR_MM, y0, _FAR_MM, y1)))


def _kept(zones: list[Zone] | tuple[Zone, ...]) -> tuple[Zone, ...]:
    """Zones that have any area; a grip over the whole shoulder leaves no shoulder zone."""
    return tuple(zone for zone in zones if not zone.area.is_empty)
