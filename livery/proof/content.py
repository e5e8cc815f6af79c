"""What a proof says, as facts to compare and bytes to hash."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path as FilePath

import numpy as np

from livery.geometry import Path
from livery.kit.model import KitItem
from livery.limits.books import digest_of_packaged
from livery.placement.model import Layout, Placement
from livery.proof.model import Change, Proof
from livery.scheme.model import Ink, Order, Scheme
from livery.units import format_lb_oz

DIGITS = 4  # decimals of a mm that count as a difference (workshop choice)


def make_proof(scheme: Scheme, order: Order, layouts: Sequence[Layout]) -> Proof:
    """The content of one player's proof.

    Args:
        scheme: the season.
        order: the player's order.
        layouts: the season's; those of this order are taken.

    Raises:
        ValueError: no layout belongs to the order.
    """
    return _proof_of(scheme, order, layouts_of(order, layouts))


@lru_cache(maxsize=8)
def _proof_of(scheme: Scheme, order: Order, own: tuple[Layout, ...]) -> Proof:
    """Kept a while: a proof, its card and its template ask one after another."""
    digest = hashlib.sha256()
    for line in _content(scheme, order, own):
        digest.update(line.encode("utf-8") + b"\n")
    facts = tuple(_facts(scheme, order, own))
    return Proof(order.key, order.player, scheme.revision, digest.hexdigest(), facts)


def layouts_of(order: Order, layouts: Sequence[Layout]) -> tuple[Layout, ...]:
    """The layouts that belong to an order.

    Raises:
        ValueError: none does.
    """
    own = tuple(layout for layout in layouts if layout.order == order.key)
    if not own:
        raise ValueError(f"no layout belongs to order {order.key}")
    return own


def find_changes(before: Proof, after: Proof) -> tuple[Change, ...]:
    """What differs between two revisions, in the order of the later one's facts."""
    old, new = dict(before.facts), dict(after.facts)
    changed = [
        Change(subject, old.get(subject, ""), statement)
        for subject, statement in after.facts
        if old.get(subject, "") != statement
    ]
    gone = [Change(subject, text, "") for subject, text in before.facts if subject not in new]
    return (*changed, *gone)


def item_title(item: KitItem) -> str:
    """An item as people say it: ``Sedge, short handle`` or ``Sedge gloves, men, left``."""
    words = [item.name, item.size.replace("-", " "), *filter(None, [item.side])]
    return ", ".join(words)


def _facts(scheme: Scheme, order: Order, layouts: Sequence[Layout]) -> Iterator[tuple[str, str]]:
    yield "Player", f"{order.player}, {order.hand}-handed"
    yield "Bats", str(order.quantity)
    yield "Weight", "not stated" if order.weight_g is None else format_lb_oz(order.weight_g)
    for ink in inks_in_use(scheme, layouts):
        lab = ", ".join(f"{value:g}" for value in ink.lab)
        yield f"Ink {ink.name}", f"Lab {lab}; ΔE00 at most {ink.tolerance_de00:g}; {ink.finish}"
    for layout in layouts:
        title = item_title(layout.item)
        for panel in layout.item.panels:
            yield f"{title}: {panel.name}", f"{panel.ink or 'no ink'}, {panel.material}"
        for placement in layout.placements:
            yield f"{title}: {placement.decal.name}, {placement.key}", _placed(placement)
        broken = [finding for finding in layout.findings if not finding.ok]
        for finding in broken:
            yield f"{finding.subject}: {finding.title or finding.rule}", finding.text


def _placed(placement: Placement) -> str:
    x0, y0, x1, y1 = placement.box
    words = " / ".join(text for _, text in placement.decal.texts if text)
    drawn = _hash_of(_artwork(placement))[:8]
    shown = f" “{words}”" if words else ""
    return (
        f"{x1 - x0:.1f} × {y1 - y0:.1f} mm, middle at ({_tenths(x0 + x1)}, {_tenths(y0 + y1)})"
        f" on {placement.surface}{shown}, artwork {drawn}"
    )


def _tenths(twice: float) -> str:
    """Half a sum to a tenth of a mm, zero without a sign."""
    return f"{round(twice / 2, 1) + 0.0:.1f}"


def _hash_of(lines: Iterator[str]) -> str:
    digest = hashlib.sha256()
    for line in lines:
        digest.update(line.encode("utf-8") + b"\n")
    return digest.hexdigest()


def inks_in_use(scheme: Scheme, layouts: Sequence[Layout]) -> tuple[Ink, ...]:
    """The inks that decals and panels of these layouts carry, in the palette's order."""
    used = {ink for layout in layouts for place in layout.placements for ink in place.decal.inks}
    used |= {panel.ink for layout in layouts for panel in layout.item.panels}
    return tuple(ink for ink in scheme.palette.inks if ink.key in used)


def _content(scheme: Scheme, order: Order, layouts: Sequence[Layout]) -> Iterator[str]:
    """Everything that decides what is made, one line each, in a fixed order."""
    profile = scheme.profile
    yield f"season {scheme.name!r} workshop {scheme.workshop!r}"
    yield f"order {order!r}"
    yield f"stock {profile.stock!r} {profile.white} {profile.varnish} {profile.output_condition!r}"
    if profile.output_profile:
        yield f"press {hashlib.sha256(profile.output_profile).hexdigest()}"
    yield from _files(scheme, layouts)
    yield from _palette(scheme)
    for layout in layouts:
        yield from _layout_content(layout)


def _files(scheme: Scheme, layouts: Sequence[Layout]) -> Iterator[str]:
    """The bytes of rule books and of the artwork in use, wherever the season's folder lies."""
    digests = {scheme.path.parent / name: digest for name, digest in scheme.digests}
    for book in scheme.rule_books:
        own = digests.get(FilePath(book))
        yield f"rules {FilePath(book).name} {own or digest_of_packaged(book)}"
    used = {place.decal.key.partition("#")[0] for one in layouts for place in one.placements}
    for decal in scheme.decals:
        if decal.key in used:
            yield f"artwork {decal.key} {digests.get(decal.artwork, '')}"


def _palette(scheme: Scheme) -> Iterator[str]:
    yield f"palette {scheme.palette.key!r} {scheme.palette.name!r} {scheme.tolerances!r}"
    for ink in scheme.palette.inks:
        yield f"ink {ink.key} {ink.name!r} {_numbers(ink.lab)} {ink.finish} {ink.tolerance_de00:g}"
        if ink.spectrum is not None:
            yield f"wavelengths {_numbers(ink.spectrum.wavelengths_nm.tolist())}"
            yield f"reflectance {_numbers(ink.spectrum.reflectance.tolist())}"


def _layout_content(layout: Layout) -> Iterator[str]:
    item = layout.item
    yield f"item {item.key} {item.size} {item.hand} {item.side} {item.dims!r} {layout.copies}"
    for surface in item.surfaces:
        yield f"surface {surface.key} {_path_digest(Path.from_geometry(surface.outline))}"
    for panel in item.panels:
        yield f"panel {panel.name!r} {panel.ink} {panel.material!r}"
    for placement in layout.placements:
        where = _numbers(placement.affine.coefficients)
        yield f"placement {placement.key} {placement.surface} {where}"
        yield from _artwork(placement)
    for finding in layout.findings:
        limit = _numbers((finding.measured, finding.limit))
        yield f"finding {finding.rule} {finding.subject} {limit} {finding.ok} {finding.source}"


def _artwork(placement: Placement) -> Iterator[str]:
    decal = placement.decal
    yield f"decal {decal.key!r} {decal.thickness_mm:g} {decal.role}"
    yield f"outline {_path_digest(decal.outline)}"
    for region in decal.regions:
        yield f"region {region.ink} {_path_digest(region.path)}"


@lru_cache(maxsize=1024)
def _path_digest(path: Path) -> str:
    """A path's commands, fill rule and points in whole steps of the last digit that counts."""
    steps = np.rint(path.points * 10**DIGITS).astype("<i8")
    content = f"{path.verbs} {path.rule} ".encode() + steps.tobytes()
    return hashlib.sha256(content).hexdigest()


def _numbers(values: Sequence[float]) -> str:
    return " ".join(f"{round(value, DIGITS) + 0.0:.{DIGITS}f}" for value in values)
