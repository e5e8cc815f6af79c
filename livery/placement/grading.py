"""From placements stated on the master size to intents on another size and hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from livery.artwork.model import Decal
from livery.errors import Fault, SeasonError
from livery.geometry import Affine
from livery.kit.model import KitItem, Surface
from livery.placement.intent import Fit, Intent, Link, Part, Point, joint_box, settle
from livery.scheme.alignments import LINES
from livery.scheme.model import (
    Alignment,
    Along,
    GroupSpec,
    Hand,
    ItemKind,
    PlacementSpec,
    ScalesWith,
    Side,
)

_DATUM_OF_LINE = {"shoulder-line": "shoulder", "middle": "middle", "toe-line": "toe"}
_OTHER_HAND = {Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """A surface, the one that placements on it were stated on, and whether it is its mirror."""

    surface: Surface
    stated: Surface
    reflected: bool

    @property
    def sign(self) -> float:
        """What x and turns are multiplied by: −1 on a mirror image, else 1."""
        return -1.0 if self.reflected else 1.0


def grade_all(
    specs: Sequence[PlacementSpec],
    decals: Mapping[str, Decal],
    groups: Sequence[GroupSpec],
    item: KitItem,
    master: KitItem,
) -> tuple[Intent, ...]:
    """Grade an item's placements: groups as one intent each, in the place of their first.

    Args:
        specs: placements on the item.
        decals: artwork by placement key.
        groups: the season's groups.
        item: what they go on.
        master: the same model in the size that placements are stated on.

    Raises:
        SeasonError: the item has no such surface, or the surface lacks the anchor.
    """
    group_of = {key: group for group in groups for key in group.placements}
    by_key = {spec.key: spec for spec in specs}
    graded: dict[str, Intent] = {}
    holder: dict[str, str] = {}
    for spec in sorted(specs, key=lambda spec: _depth(spec, by_key, group_of)):
        group = group_of.get(spec.key)
        if group is None:
            intent = grade(spec, decals[spec.key], item, master)
            side = _side(spec.align, spec.mirror_for_left and is_left(item))
            graded[spec.key] = _tie(intent, spec, side, graded, holder)
            holder[spec.key] = spec.key
        elif spec.key not in holder:
            members = [by_key[key] for key in group.placements if key in by_key]
            intent = _grade_group(group, members, decals, item, master)
            graded[intent.key] = intent
            holder.update((member.key, intent.key) for member in members)
    order = dict.fromkeys(holder[spec.key] for spec in specs)
    return tuple(graded[key] for key in order)


def _depth(
    spec: PlacementSpec, by_key: Mapping[str, PlacementSpec], group_of: Mapping[str, GroupSpec]
) -> int:
    """How many alignments lie between a placement and one that stands by itself."""
    depth, seen = 0, {spec.key}
    while spec.key not in group_of and spec.align is not None and spec.align.to in by_key:
        spec = by_key[spec.align.to]
        depth += 1
        if spec.key in seen:
            found = f"{spec.key!r} is aligned to itself in a ring"
            raise SeasonError(Fault("season", "placements", None, found, "State one's offset"))
        seen.add(spec.key)
    return depth


def grade(spec: PlacementSpec, decal: Decal, item: KitItem, master: KitItem) -> Intent:
    """Grade a placement from the master size to an item.

    A placement that scales does so about its anchor: decal and offsets alike. One aligned to a
    line or decal by its edge grows and shrinks from that edge; its gap stays. On a bat,
    ``mirror_for_left`` reflects it for a left-hander; on gloves and pads, whose placements are
    stated on the right one of the pair, it reflects it on the left.

    Args:
        spec: the designer's placement.
        decal: its artwork.
        item: what it goes on.
        master: the same model in the size that the placement is stated on.

    Raises:
        SeasonError: the item has no such surface, or the surface lacks the anchor.
    """
    ground = _ground(spec, item, master)
    ratio = _ratio(spec.scales_with, ground)
    turn = Affine.rotation(-ground.sign * spec.rotation_deg)  # y runs down the surface
    mirrored = ground.reflected and decal.may_mirror
    part = Part(spec.key, decal, turn @ Affine.mirror_x() if mirrored else turn, mirrored)
    x, y = ground.sign * spec.x_mm * ratio, spec.y_mm * ratio
    if spec.align is None or spec.align.to == "centre-line":
        y = _anchor(spec, ground.surface, spec.along) + (-y if spec.along is Along.TOE else y)
    intent = Intent(
        key=spec.key,
        parts=(part,),
        surface=ground.surface,
        x_mm=x,
        y_mm=y,
        scale=ratio,
        least_scale=ratio * spec.may_shrink_to,
        slide_mm=spec.may_slide_mm,
    )
    return intent if spec.align is None else _align(intent, spec, spec.align, ground)


def is_left(item: KitItem) -> bool:
    """Whether an item is the mirror image of the one that placements are stated on."""
    return item.hand is Hand.LEFT if item.kind is ItemKind.BAT else item.side == "left"


def _align(intent: Intent, spec: PlacementSpec, align: Alignment, ground: _Ground) -> Intent:
    """Hold the edge that faces what the decal is aligned to, at the gap from it."""
    (part,) = intent.parts
    x0, y0, x1, y1 = part.box
    pivot, gap = {
        Side.ON: ((0.0, 0.0), (0.0, 0.0)),
        Side.BELOW: ((0.0, y0), (0.0, align.gap_mm)),
        Side.ABOVE: ((0.0, y1), (0.0, -align.gap_mm)),
        Side.RIGHT: ((x0, 0.0), (align.gap_mm, 0.0)),
        Side.LEFT: ((x1, 0.0), (-align.gap_mm, 0.0)),
    }[_side(align, ground.reflected)]
    held = replace(part, turn=Affine.translation(-pivot[0], -pivot[1]) @ part.turn)
    x, y = intent.x_mm + gap[0], intent.y_mm + gap[1]
    if align.to in _DATUM_OF_LINE:
        y += _datum(spec, ground.surface, _DATUM_OF_LINE[align.to])
    return replace(intent, parts=(held,), x_mm=x, y_mm=y)


def _tie(
    intent: Intent,
    spec: PlacementSpec,
    side: Side,
    graded: Mapping[str, Intent],
    holder: Mapping[str, str],
) -> Intent:
    """Link an intent to the decal it is aligned to, if to any.

    Raises:
        SeasonError: there is no such decal on the item.
    """
    if spec.align is None or spec.align.to in LINES:
        return intent
    if spec.align.to not in holder:
        found = f"there is no placement {spec.align.to!r} to align to"
        place = f"placements.{spec.key}.align_to"
        raise SeasonError(Fault("season", place, None, found, "Name one of the same item"))
    target = graded[holder[spec.align.to]]
    part = next(part for part in target.parts if part.key == spec.align.to)
    return replace(intent, link=Link(target.key, _facing_point(part, side)))


def _facing_point(part: Part, side: Side) -> Point:
    """The point of a decal's box that one aligned to it on a side keeps to."""
    x0, y0, x1, y1 = part.box
    u, v = part.turn.e, part.turn.f  # the decal's centre
    return {
        Side.ON: (u, v),
        Side.BELOW: (u, y1),
        Side.ABOVE: (u, y0),
        Side.RIGHT: (x1, v),
        Side.LEFT: (x0, v),
    }[side]


def _side(align: Alignment | None, reflected: bool) -> Side:
    """The side of its target that an aligned decal lies on, on this item."""
    if align is None:
        return Side.ON
    return _OTHER_HAND.get(align.side, align.side) if reflected else align.side


def _grade_group(
    group: GroupSpec,
    members: Sequence[PlacementSpec],
    decals: Mapping[str, Decal],
    item: KitItem,
    master: KitItem,
) -> Intent:
    """Take the members as they lie on the master size, and scale them about their middle."""
    first = members[0]
    ground = _ground(first, item, master)
    ratio = _ratio(first.scales_with, ground)
    turned = replace(item, size=master.size, surfaces=_reflected(master, ground))
    parts = _parts_on_master(members, decals, turned, master, ground)
    x0, y0, x1, y1 = joint_box([part.box for part in parts])
    on_line = any(m.align is not None and m.align.to == "centre-line" for m in members)
    centre_x, centre_y = 0.0 if on_line else (x0 + x1) / 2.0, (y0 + y1) / 2.0
    stands = next((m for m in members if m.align is None or m.align.to == "centre-line"), first)
    anchor = _anchor(stands, ground.surface, stands.along)
    offset = centre_y - _anchor(stands, ground.stated, stands.along)
    back = Affine.translation(-centre_x, -centre_y)
    return Intent(
        key=f"group {group.key}",
        parts=tuple(replace(part, turn=back @ part.turn) for part in parts),
        surface=ground.surface,
        x_mm=centre_x * ratio,
        y_mm=anchor + offset * ratio,
        scale=ratio,
        least_scale=ratio * group.may_shrink_to,
        slide_mm=group.may_slide_mm,
    )


def _parts_on_master(
    members: Sequence[PlacementSpec],
    decals: Mapping[str, Decal],
    turned: KitItem,
    master: KitItem,
    ground: _Ground,
) -> list[Part]:
    """A group's decals in the frame of the master's surface, at nominal size."""
    by_key = {member.key: member for member in members}
    holder = {key: key for key in by_key}
    settled: dict[str, tuple[Intent, Fit]] = {}
    parts: dict[str, Part] = {}
    for member in sorted(members, key=lambda member: _depth(member, by_key, {})):
        alone = grade(member, decals[member.key], turned, master)
        side = _side(member.align, ground.reflected)
        tied = _tie(alone, member, side, {key: one for key, (one, _) in settled.items()}, holder)
        intent = settle(tied, settled)
        settled[member.key] = (intent, Fit(1.0, 0.0))
        (part,) = intent.parts
        moved = Affine.translation(intent.x_mm, intent.y_mm) @ part.turn
        parts[member.key] = replace(part, turn=moved)
    return [parts[member.key] for member in members]


def _reflected(master: KitItem, ground: _Ground) -> tuple[Surface, ...]:
    """The master's surfaces, the stated one under the key that a reflection gives it."""
    kept = [one for one in master.surfaces if one.key != ground.surface.key]
    return (*kept, replace(ground.stated, key=ground.surface.key))


def _ground(spec: PlacementSpec, item: KitItem, master: KitItem) -> _Ground:
    reflected = spec.mirror_for_left and is_left(item)
    stated = _surface(spec, master, spec.surface)
    surface = _surface(spec, item, _opposite(spec.surface) if reflected else spec.surface)
    return _Ground(surface, stated, reflected)


def _surface(spec: PlacementSpec, item: KitItem, key: str) -> Surface:
    try:
        return item.surface(key)
    except KeyError:
        known = ", ".join(surface.key for surface in item.surfaces)
        found = f"{item.name}, {item.size}, has no surface {key!r}"
        fault = Fault("season", f"placements.{spec.key}", None, found, f"Surfaces: {known}")
        raise SeasonError(fault) from None


def _opposite(surface: str) -> str:
    """The surface that a reflection takes a surface to."""
    for one, other in (("-left", "-right"), ("-right", "-left")):
        if surface.endswith(one):
            return surface.removesuffix(one) + other
    return surface


def _ratio(scales_with: ScalesWith, ground: _Ground) -> float:
    """Width or length of the surface, of that of the one stated on."""
    x0, y0, x1, y1 = ground.surface.outline.bounds
    u0, v0, u1, v1 = ground.stated.outline.bounds
    if scales_with is ScalesWith.WIDTH:
        return float((x1 - x0) / (u1 - u0))
    if scales_with is ScalesWith.LENGTH:
        return float((y1 - y0) / (v1 - v0))
    return 1.0


def _anchor(spec: PlacementSpec, surface: Surface, along: Along) -> float:
    """Y of the datum that a placement is measured from, mm."""
    if along is Along.DATUM:
        return surface.datums[0].y_mm if surface.datums else 0.0
    return _datum(spec, surface, str(along))


def _datum(spec: PlacementSpec, surface: Surface, name: str) -> float:
    try:
        return surface.datum(name).y_mm
    except KeyError:
        found = f"surface {surface.key!r} has no {name} to measure from"
        known = ", ".join(datum.name for datum in surface.datums)
        fault = Fault("season", f"placements.{spec.key}.along", None, found, f"It has: {known}")
        raise SeasonError(fault) from None
