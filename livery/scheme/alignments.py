"""What placements say of one another: alignments and groups, checked on the raw tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from livery.errors import Fault
from livery.scheme.faults import suggest
from livery.scheme.locator import KeyPath
from livery.scheme.model import ItemKind, Side
from livery.scheme.reading import Document
from livery.scheme.references import items, rows, texts

_ALONG = (Side.ON, Side.ABOVE, Side.BELOW)
LINES: Mapping[str, tuple[Side, ...]] = {
    "centre-line": (Side.ON, Side.LEFT, Side.RIGHT),
    "shoulder-line": _ALONG,
    "middle": _ALONG,
    "toe-line": _ALONG,
}
"""Lines that a decal may be aligned to, and the sides of each."""

BESIDE = (Side.ABOVE, Side.BELOW, Side.LEFT, Side.RIGHT)
"""Where a decal may lie by another."""

_SHARED = ("item", "surface", "along", "scales_with", "mirror_for_left")
_DEFAULTS = {"along": "datum", "scales_with": "nothing", "mirror_for_left": False}
_OF_THE_GROUP = ("may_shrink_to", "may_slide")


@dataclass(frozen=True, slots=True, eq=False)
class _Placements:
    """Every placement by key, with its place; and each grouped one's group."""

    rows: Mapping[str, tuple[KeyPath, dict[str, Any]]]
    groups: Mapping[str, str]


def check_alignments(document: Document) -> list[Fault]:
    """Find every alignment and group that cannot be kept."""
    placed = _gather(document)
    faults: list[Fault] = []
    for path, row in rows(document.data, "placements"):
        faults += _check_offsets(document, path, row)
        if isinstance(row.get("align_to"), str):
            faults += _check_target(document, placed, path, row)
    faults += _check_cycles(document, placed)
    taken: dict[str, str] = {}
    for path, group in rows(document.data, "groups"):
        faults += _check_group(document, placed, path, group, taken)
    return faults


def _gather(document: Document) -> _Placements:
    found: dict[str, tuple[KeyPath, dict[str, Any]]] = {}
    for path, row in rows(document.data, "placements"):
        if isinstance(row.get("key"), str):
            found.setdefault(row["key"], (path, row))
    groups: dict[str, str] = {}
    for path, group in rows(document.data, "groups"):
        for key in texts(group.get("placements")):
            groups.setdefault(key, str(group.get("key", path)))
    return _Placements(found, groups)


def _check_offsets(document: Document, path: KeyPath, row: dict[str, Any]) -> Iterator[Fault]:
    """Each axis is either stated or settled by the alignment, never both or neither."""
    target, side = row.get("align_to"), row.get("side")
    if not isinstance(target, str | None):
        return  # its own table says what is wrong with it
    if target is None:
        for key in ("side", "gap"):
            if key in row:
                mend = 'Add align_to = "..." or remove it'
                yield document.fault((*path, key), f"{key!r} says nothing without align_to", mend)
        if "y" not in row:
            yield document.fault((*path, "y"), "'y' is missing", "Add y = ..., or align_to")
        return
    for key in settled_by(target, side):
        if row.get(key, 0) != 0:
            found = f"{key!r} is settled by align_to = {target!r}"
            yield document.fault((*path, key), found, f"Remove {key}, or align_to")
    if target == "centre-line" and "y" not in row:
        yield document.fault((*path, "y"), "'y' is missing", "Add y = ...: this line sets x alone")
    if side in (None, "on") and row.get("gap", 0) != 0:
        mend = "Say side = ... beside it, or remove the gap"
        yield document.fault((*path, "gap"), "a gap from a line that the decal lies on", mend)


def settled_by(target: str, side: object) -> tuple[str, ...]:
    """Keys of a placement that its alignment settles."""
    if target == "centre-line":
        return ("x",)
    if target in LINES or side in ("above", "below"):
        return ("y", "along", "may_slide")
    return ("x", "along", "may_slide")


def _check_target(
    document: Document, placed: _Placements, path: KeyPath, row: dict[str, Any]
) -> Iterator[Fault]:
    target, side, place = row["align_to"], row.get("side"), (*path, "align_to")
    sides = LINES.get(target, BESIDE)
    if target in LINES and target in placed.rows:
        found = f"{target!r} is a line, and a placement is called so, too"
        yield document.fault(place, found, "Give the placement another key")
    if target not in LINES and side is None:
        mend = f"Add side = ...: {', '.join(sides)}"
        yield document.fault((*path, "side"), "'side' is missing", mend)
    elif side is not None and side in list(Side) and side not in sides:
        found = f"no decal lies {side!r} what is called {target!r}"
        yield document.fault((*path, "side"), found, f"Sides here: {', '.join(sides)}")
    if target == "shoulder-line" and not _has_shoulder(document, row):
        yield document.fault(place, "only a bat has a shoulder line", "Use middle or toe-line")
    if target in LINES:
        return
    if target not in placed.rows:
        others = [key for key in placed.rows if key != row.get("key")]
        found = f"there is no placement or line {target!r}"
        yield document.fault(place, found, suggest(target, [*others, *LINES], "known names"))
        return
    yield from _check_shared_surface(document, placed, path, row)
    group = placed.groups.get(str(row.get("key")))
    if group is not None and placed.groups.get(target) != group:
        found = f"{target!r} is not in the group {group!r}, whose decals keep to one another"
        yield document.fault(place, found, f"Align within {group!r}, or take it out of the group")


def _has_shoulder(document: Document, row: dict[str, Any]) -> bool:
    kind, _ = items(document).get(str(row.get("item")), (ItemKind.BAT, {}))
    return kind is ItemKind.BAT


def _check_shared_surface(
    document: Document, placed: _Placements, path: KeyPath, row: dict[str, Any]
) -> Iterator[Fault]:
    target = row["align_to"]
    _, other = placed.rows[target]
    for key in ("item", "surface"):
        if row.get(key) != other.get(key):
            found = f"{target!r} is on {other.get(key)!r}, this on {row.get(key)!r}"
            mend = f"Align decals of one {key} alone"
            yield document.fault((*path, "align_to"), found, mend)
            return
    handed = str(row.get("surface")).endswith(("-left", "-right"))
    if handed and bool(row.get("mirror_for_left")) != bool(other.get("mirror_for_left")):
        found = f"for a left-hander this and {target!r} land on opposite sides"
        mend = "Give both the same mirror_for_left"
        yield document.fault((*path, "mirror_for_left"), found, mend)


def _check_cycles(document: Document, placed: _Placements) -> Iterator[Fault]:
    """Each ring of alignments once, at the member that comes first in the file."""
    told: set[str] = set()
    for start in placed.rows:
        trail: list[str] = []
        key = start
        while key in placed.rows and key not in trail and key not in told:
            trail.append(key)
            key = str(placed.rows[key][1].get("align_to"))
        if key in trail:
            ring = trail[trail.index(key) :]
            first = next(one for one in placed.rows if one in ring)
            turned = ring[ring.index(first) :] + ring[: ring.index(first)]
            found = "these keep to one another in a ring: " + " to ".join([*turned, first])
            place = (*placed.rows[first][0], "align_to")
            yield document.fault(place, found, "State the offset of one of them")
        told.update(trail)


def _check_group(
    document: Document,
    placed: _Placements,
    path: KeyPath,
    group: dict[str, Any],
    taken: dict[str, str],
) -> Iterator[Fault]:
    name = str(group.get("key"))
    members = group.get("placements")
    first: dict[str, Any] | None = None
    for index, key in enumerate(members if isinstance(members, list) else []):
        place = (*path, "placements", index)
        if not isinstance(key, str):
            continue
        if key not in placed.rows:
            mend = suggest(key, placed.rows, "placements")
            yield document.fault(place, f"there is no placement {key!r}", mend)
            continue
        if key in taken:
            found = f"{key!r} is in the group {taken[key]!r} already"
            yield document.fault(place, found, "Name each placement in one group, once")
            continue
        taken[key] = name
        row = placed.rows[key][1]
        first = first or row
        yield from _check_member(document, placed.rows[key], first, name)


def _check_member(
    document: Document, member: tuple[KeyPath, dict[str, Any]], first: dict[str, Any], group: str
) -> Iterator[Fault]:
    path, row = member
    target = row.get("align_to")
    lined = isinstance(target, str) and target in LINES
    if lined and target != "centre-line":
        found = f"{row['key']!r} keeps to the group {group!r}, not to a line along the surface"
        yield document.fault((*path, "align_to"), found, "State its y, or take it out of the group")
    within = target is not None and not lined
    for key in _SHARED:
        if within and key == "along":
            continue
        default = _DEFAULTS.get(key)
        here, there = row.get(key, default), first.get(key, default)
        if here != there:
            found = f"{key} is {here!r}, but {there!r} in the group's first, {first['key']!r}"
            mend = f"Give every decal of the group {group!r} one {key}"
            yield document.fault((*path, key), found, mend)
    for key in _OF_THE_GROUP:
        if key in row:
            found = f"{key!r} is said by the group {group!r}"
            yield document.fault((*path, key), found, "Remove it here, and say it of the group")
