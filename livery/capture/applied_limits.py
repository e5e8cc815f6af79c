"""Rules held against decals where they really are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from livery.capture.position_model import DecalFind
from livery.errors import InputError
from livery.kit import build_surfaces
from livery.kit.model import KitItem
from livery.limits import Finding, RuleBook, Scene, check_scene, set_in_place
from livery.placement import Layout


def applied_findings(
    layout: Layout,
    surface: str,
    decals: Sequence[DecalFind],
    books: Sequence[RuleBook],
    shift: float,
) -> tuple[Finding, ...]:
    """What the rules say of the decals where they are.

    Args:
        layout: the bat, its decals as they should be; other surfaces' decals are taken so.
        surface: whose findings are wanted.
        decals: as found on it.
        books: rule books in force.
        shift: how much longer the face is than drawn, from the grip's end to the toe, mm.
    """
    item = _as_measured(layout.item, shift)
    found = {one.key: one for one in decals}
    placed = []
    for p in layout.placements:
        one = found.get(p.key)
        affines = [p.affine] if one is None else [*([one.found] if one.found else []), *one.again]
        placed += [
            set_in_place(
                p.key if n == 0 else f"{p.key}, again", p.decal, p.surface, affine, p.scale
            )
            for n, affine in enumerate(affines)
        ]
    scene = Scene(item, tuple(placed))
    mark = f", {surface}"
    return tuple(f for f in check_scene(scene, books) if mark in f.subject)


def _as_measured(item: KitItem, shift: float) -> KitItem:
    """The bat with its grip ending where it does; as drawn where that cannot be built."""
    if item.dims is None or not shift:
        return item
    face = item.surface("face").outline
    try:
        same = build_surfaces(item.dims)[0].outline.symmetric_difference(face).area < 1.0
        dims = replace(item.dims, grip_below_entry=item.dims.grip_below_entry - shift)
        surfaces = build_surfaces(dims) if same and dims.grip_below_entry >= 0.0 else item.surfaces
    except InputError:
        return item
    return replace(
        item, surfaces=surfaces, dims=dims if surfaces is not item.surfaces else item.dims
    )
