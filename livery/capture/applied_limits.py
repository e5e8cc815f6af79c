"""Rules held against decals where they really are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from livery.capture.position_model import DecalFind
from livery.errors import InputError
from livery.kit import build_surfaces
from livery.kit.model import KitItem
from livery.limits import Finding, Placed, RuleBook, Scene, check_scene, set_in_place
from livery.placement import Layout, Placement

_SAME_MM2 = 1.0  # faces that differ by less are one [source: workshop-choice]


def applied_findings(
    layout: Layout,
    surface: str,
    decals: Sequence[DecalFind],
    books: Sequence[RuleBook],
    longer_mm: float,
) -> tuple[Finding, ...]:
    """What the rules say of a surface's decals where they are.

    Args:
        layout: the bat, its decals as they should be; other surfaces' decals are taken so.
        surface: whose findings are wanted.
        decals: as found on it.
        books: rule books in force.
        longer_mm: how much longer the face is than drawn, from the grip's end to the toe.
    """
    found = {one.key: one for one in decals}
    placed = [put for p in layout.placements for put in _as_put_on(p, found.get(p.key))]
    scene = Scene(_as_measured(layout.item, longer_mm), tuple(placed))
    named = f", {surface}"  # as a finding's subject says which surface
    return tuple(f for f in check_scene(scene, books) if named in f.subject)


def _as_put_on(placement: Placement, find: DecalFind | None) -> list[Placed]:
    """A decal wherever it was found, or where it should be if it was not sought."""
    affines = (placement.affine,) if find is None else find.everywhere
    return [
        set_in_place(
            f"{placement.key}, again" if number else placement.key,
            placement.decal,
            placement.surface,
            affine,
            placement.scale,
        )
        for number, affine in enumerate(affines)
    ]


def _as_measured(item: KitItem, longer_mm: float) -> KitItem:
    """The bat with its grip ending where it does; as drawn where that cannot be built.

    A face that is drawn otherwise than its measures say cannot.
    """
    if item.dims is None or not longer_mm:
        return item
    grip_mm = item.dims.grip_below_entry - longer_mm
    if grip_mm < 0.0:
        return item
    try:
        drawn, built = item.surface("face").outline, build_surfaces(item.dims)[0].outline
        if built.symmetric_difference(drawn).area >= _SAME_MM2:
            return item
        dims = replace(item.dims, grip_below_entry=grip_mm)
        return replace(item, surfaces=build_surfaces(dims), dims=dims)
    except InputError:
        return item
