"""What a season's parts say of one another: keys taken twice, names that lead nowhere.

These checks read the raw tables, so that they report even where a table's shape is faulty.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from livery.errors import Fault
from livery.scheme.faults import nearest, suggest
from livery.scheme.locator import KeyPath, format_place
from livery.scheme.model import SURFACES, ItemKind
from livery.scheme.reading import Document
from livery.scheme.sizes import panel_keys, size_keys

KIND_TABLES = {"bats": ItemKind.BAT, "gloves": ItemKind.GLOVE, "pads": ItemKind.PAD}

_FLAT = (
    "a decal lies on one of them, so what wraps round an edge or over the toe is drawn and placed "
    "as one decal for each surface; the toe's end and the handle bear none"
)

Row = tuple[KeyPath, dict[str, Any]]


def rows(table: Any, *path: str | int) -> Iterator[Row]:
    """Tables of an array of tables, with their key paths; nothing where it is not one."""
    value = table.get(path[-1]) if isinstance(table, dict) else None
    for index, row in enumerate(value if isinstance(value, list) else []):
        if isinstance(row, dict):
            yield (*path, index), row


def texts(value: Any) -> list[str]:
    """Text elements of a list; nothing where it is not one."""
    return [item for item in value if isinstance(item, str)] if isinstance(value, list) else []


def items(document: Document) -> dict[str, tuple[ItemKind, dict[str, Any]]]:
    """Every item of kit by key: its kind and its raw table."""
    found: dict[str, tuple[ItemKind, dict[str, Any]]] = {}
    for table, kind in KIND_TABLES.items():
        for _, row in rows(document.data, table):
            if isinstance(row.get("key"), str):
                found.setdefault(row["key"], (kind, row))
    return found


def check_references(document: Document, inks: frozenset[str] | None) -> list[Fault]:
    """Find every reference that does not hold.

    Args:
        document: the season.
        inks: keys of the palette's inks, or None when the palette cannot be read.
    """
    faults = [
        *_check_unique(document, ("bats", "gloves", "pads", "extras"), "item"),
        *_check_unique(document, ("decals",), "decal"),
        *_check_unique(document, ("placements",), "placement"),
        *_check_unique(document, ("groups",), "group"),
        *_check_unique(document, ("orders",), "order"),
        *_check_sizes(document),
        *_check_placements(document),
        *_check_master_size(document),
        *_check_orders(document),
    ]
    if inks is not None:
        faults.extend(_check_inks(document, inks))
    return faults


def _check_unique(document: Document, tables: Iterable[str], what: str) -> Iterator[Fault]:
    seen: dict[str, KeyPath] = {}
    for table in tables:
        for path, row in rows(document.data, table):
            key, place = row.get("key"), (*path, "key")
            if not isinstance(key, str):
                continue
            if key in seen:
                found = f"the {what} key {key!r} is taken on line {document.line(seen[key])}"
                yield document.fault(place, found, f"Give each {what} a key of its own")
            seen.setdefault(key, place)


def _check_sizes(document: Document) -> Iterator[Fault]:
    for table, kind in KIND_TABLES.items():
        for path, row in rows(document.data, table):
            sizes, named = row.get("sizes"), set[str]()
            for index, size in enumerate(sizes if isinstance(sizes, list) else []):
                place = (*path, "sizes", index)
                if isinstance(size, str):
                    if size not in size_keys(kind):
                        mend = suggest(size, size_keys(kind), "known sizes")
                        yield document.fault(place, f"there is no {kind} size {size!r}", mend)
                    elif size in named:
                        yield document.fault(place, f"size {size!r} is named twice", "Remove one")
                    named.add(size)
            yield from _check_told_by_size(document, path, row, kind)
            yield from _check_panels(document, path, row, kind)


def sizes_meant(row: dict[str, Any], kind: ItemKind) -> list[str]:
    """An item's sizes, and for each that nobody knows the one most likely meant.

    So that one misspelt size is told once, and not again wherever it is rightly named.
    """
    sizes = texts(row.get("sizes"))
    known = size_keys(kind)
    meant = (nearest(size, known) for size in sizes if size not in known)
    return [*sizes, *(size for size in meant if size is not None)]


def _check_told_by_size(
    document: Document, path: KeyPath, row: dict[str, Any], kind: ItemKind
) -> Iterator[Fault]:
    sizes = sizes_meant(row, kind)
    for key, what in (("dims", "dimensions"), ("outlines", "an outline")):
        told = row.get(key)
        for size in told if isinstance(told, dict) else ():
            if size not in sizes:
                found = f"{what} of {size!r}, which is not among the sizes"
                yield document.fault((*path, key, size), found, suggest(size, sizes, "sizes"))


def _check_panels(
    document: Document, path: KeyPath, row: dict[str, Any], kind: ItemKind
) -> Iterator[Fault]:
    seen = set()
    for place, panel in rows(row, "panels"):
        name, where = panel.get("panel"), (*path, *place, "panel")
        if not isinstance(name, str):
            continue
        if name not in panel_keys(kind):
            mend = suggest(name, panel_keys(kind), "panels")
            yield document.fault(where, f"a {kind} has no panel {name!r}", mend)
        elif name in seen:
            yield document.fault(where, f"panel {name!r} is given twice", "Remove one")
        seen.add(name)


def _check_placements(document: Document) -> Iterator[Fault]:
    known = items(document)
    decals = {row["key"] for _, row in rows(document.data, "decals") if _has_key(row)}
    for path, row in rows(document.data, "placements"):
        decal, item, surface = row.get("decal"), row.get("item"), row.get("surface")
        if isinstance(decal, str) and decal not in decals:
            mend = suggest(decal, decals, "decals")
            yield document.fault((*path, "decal"), f"there is no decal {decal!r}", mend)
        if not isinstance(item, str):
            continue
        if item not in known:
            mend = suggest(item, known, "items")
            yield document.fault((*path, "item"), f"there is no item {item!r}", mend)
            continue
        kind = known[item][0]
        if isinstance(surface, str) and surface not in SURFACES[kind]:
            mend = suggest(surface, SURFACES[kind], "surfaces")
            if kind is ItemKind.BAT and nearest(surface, SURFACES[kind]) is None:
                mend += f"; {_FLAT}"
            yield document.fault((*path, "surface"), f"a {kind} has no surface {surface!r}", mend)
        if row.get("along") == "shoulder" and kind is not ItemKind.BAT:
            mend = "Use datum, toe or middle"
            yield document.fault((*path, "along"), f"a {kind} has no shoulder", mend)


def _check_master_size(document: Document) -> Iterator[Fault]:
    master = document.data.get("master_size")
    if not isinstance(master, str):
        return
    placed = texts([row.get("item") for _, row in rows(document.data, "placements")])
    for path, row in rows(document.data, "bats"):
        sizes = sizes_meant(row, ItemKind.BAT)
        if master not in sizes and sizes and row.get("key") in placed:
            found = f"bat {row.get('key')!r} does not come in {master!r} ({format_place(path)})"
            mend = f"Add {master!r} to its sizes, or state placements on another size"
            yield document.fault(("master_size",), found, mend)


def _check_orders(document: Document) -> Iterator[Fault]:
    known = items(document)
    for path, order in rows(document.data, "orders"):
        seen = set()
        for place, entry in rows(order, "items"):
            where = (*path, *place)
            item, size = entry.get("item"), entry.get("size")
            if not isinstance(item, str):
                continue
            if item not in known:
                mend = suggest(item, known, "items")
                yield document.fault((*where, "item"), f"there is no item {item!r}", mend)
            elif isinstance(size, str):
                kind, row = known[item]
                if size not in sizes_meant(row, kind):
                    mend = suggest(size, texts(row.get("sizes")), "sizes")
                    found = f"{item!r} does not come in size {size!r}"
                    yield document.fault((*where, "size"), found, mend)
                elif (item, size) in seen:
                    found = f"{item!r} in {size!r} is ordered twice"
                    yield document.fault(where, found, "Remove one, or raise the quantity")
                seen.add((item, size))


def _check_inks(document: Document, inks: frozenset[str]) -> Iterator[Fault]:
    places: list[tuple[KeyPath, Any]] = []
    for table in ("gloves", "pads"):
        for path, row in rows(document.data, table):
            for place, panel in rows(row, "panels"):
                places.append(((*path, *place, "ink"), panel.get("ink")))
    for path, row in rows(document.data, "extras"):
        named = row.get("inks")
        for index, ink in enumerate(named if isinstance(named, list) else []):
            places.append(((*path, "inks", index), ink))
    tolerances = document.data.get("tolerances")
    if isinstance(tolerances, dict):
        named = tolerances.get("inks")
        for ink in named if isinstance(named, dict) else ():
            places.append((("tolerances", "inks", ink), ink))
        for path, pair in rows(tolerances, "pairs"):
            places.append((("tolerances", *path, "ink"), pair.get("ink")))
    for where, ink in places:
        if isinstance(ink, str) and ink not in inks:
            mend = suggest(ink, inks, "inks")
            yield document.fault(where, f"the palette has no ink {ink!r}", mend)


def _has_key(row: dict[str, Any]) -> bool:
    return isinstance(row.get("key"), str)
