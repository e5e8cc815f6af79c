"""Layouts of a season: its whole range, and every order."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from livery.artwork.model import Decal
from livery.kit.model import KitItem
from livery.limits import Finding, RuleBook, Scene, check_scene
from livery.placement.intent import Intent, grade
from livery.placement.model import Layout, Placement
from livery.placement.notes import note_grading, note_mends
from livery.placement.surface_fit import Seat, seat_as_stated, seat_decals
from livery.placement.wardrobe import Wardrobe
from livery.scheme.model import DecalSpec, Hand, Order, Scheme
from livery.units import format_lb_oz

DecalFor = Callable[[DecalSpec, Mapping[str, str]], Decal]
"""Makes a decal from its spec and an order's words."""

_LOOK = tuple[object, ...]
_SPECIMEN_WEIGHT = "2 lb 9 oz"  # an ordinary adult weight [source: common-practice]


@dataclass(frozen=True, slots=True)
class _Setting:
    scheme: Scheme
    decal_for: DecalFor
    books: tuple[RuleBook, ...]
    wardrobe: Wardrobe
    done: dict[_LOOK, tuple[tuple[Seat, ...], tuple[Finding, ...]]]


def lay_out_season(
    scheme: Scheme, decal_for: DecalFor, books: Sequence[RuleBook], wardrobe: Wardrobe
) -> Iterator[Layout]:
    """Lay out a season: every model in every size and hand, then every order.

    The master size is laid out exactly as stated; only other sizes are graded, within what the
    designer allows. Decals that differ in wording alone are fitted once.

    Args:
        scheme: the season.
        decal_for: makes decals.
        books: rule books in force.
        wardrobe: builds kit.

    Raises:
        SeasonError: a placement names a surface or anchor that its item has not.
        ArtworkError: from ``decal_for``.
    """
    setting = _Setting(scheme, decal_for, tuple(books), wardrobe, {})
    for item in wardrobe.whole_range():
        yield _lay_out_item(setting, item, _specimen(scheme, item))
    for order in scheme.orders:
        for key, size in order.items:
            for item in wardrobe.items(key, size, order.hand):
                layout = _lay_out_item(setting, item, _words(order, item))
                copies = order.quantity if item.dims is not None else 1
                yield replace(layout, order=order.key, player=order.player, copies=copies)


def _lay_out_item(setting: _Setting, item: KitItem, words: Mapping[str, str]) -> Layout:
    specs = [spec for spec in setting.scheme.placements if spec.item == item.key]
    by_key = {spec.key: spec for spec in setting.scheme.decals}
    decals = [setting.decal_for(by_key[spec.decal], words) for spec in specs]
    look: _LOOK = (item.key, item.size, item.hand, item.side, *map(_look, decals))
    if look not in setting.done:
        master = setting.wardrobe.master_of(item)
        intents = [
            _floor(grade(spec, decal, item, master), by_key[spec.decal])
            for spec, decal in zip(specs, decals, strict=True)
        ]
        setting.done[look] = _arrange(item, intents, setting.books, item.size == master.size)
    seats, findings = setting.done[look]
    placements = tuple(_place(seat, decal) for seat, decal in zip(seats, decals, strict=True))
    return Layout(item, placements, findings)


def _look(decal: Decal) -> _LOOK:
    """What a fit depends on: not the words, but how small they are."""
    heights = [r.text_height_mm for r in decal.regions if r.text_height_mm is not None]
    lines = [r.thinnest_mm for r in decal.regions if r.thinnest_mm is not None]
    name = decal.key.partition("#")[0]
    return (name, min(heights, default=None), min(lines, default=None))


def _floor(intent: Intent, spec: DecalSpec) -> Intent:
    """Hold the decal's own smallest scale, where the season gives one."""
    if spec.min_scale >= 1.0:
        return intent
    return replace(intent, least_scale=min(max(intent.least_scale, spec.min_scale), intent.scale))


def _arrange(
    item: KitItem, intents: Sequence[Intent], books: Sequence[RuleBook], as_stated: bool
) -> tuple[tuple[Seat, ...], tuple[Finding, ...]]:
    seat_all = seat_as_stated if as_stated else seat_decals
    seats: dict[str, Seat] = {}
    for surface in dict.fromkeys(intent.surface.key for intent in intents):
        here = [intent for intent in intents if intent.surface.key == surface]
        seats.update((seat.intent.key, seat) for seat in seat_all(here, books))
    ordered = tuple(seats[intent.key] for intent in intents)
    scene = Scene(item, tuple(seat.placed for seat in ordered))
    findings = [*check_scene(scene, books), *_notes(scene, ordered, books)]
    return ordered, tuple(findings)


def _notes(scene: Scene, seats: Sequence[Seat], books: Sequence[RuleBook]) -> Iterator[Finding]:
    for seat, placed in zip(seats, scene.placed, strict=True):
        subject = scene.subject(placed)
        yield from note_grading(seat, subject)
        if not seat.fits:
            others = [o for o in scene.placed if o.surface == placed.surface and o is not placed]
            yield from note_mends(seat, subject, books, others)


def _place(seat: Seat, decal: Decal) -> Placement:
    intent, fit = seat.intent, seat.fit
    affine = intent.affine(fit.scale, fit.slide_mm)
    return Placement(
        intent.key, decal, intent.surface.key, affine, fit.scale, mirrored=intent.mirrored
    )


def _words(order: Order, item: KitItem) -> dict[str, str]:
    """An order's words for variable text."""
    return {
        "player": order.player,
        "size": item.size,
        "weight": "" if order.weight_g is None else format_lb_oz(order.weight_g),
        "model": item.name,
        "number": order.number,
        "hand": str(order.hand),
    }


def _specimen(scheme: Scheme, item: KitItem) -> dict[str, str]:
    """Words for the range: the season's longest name and number, so that the worst is checked."""
    names = [order.player for order in scheme.orders] or ["Player's Name"]
    numbers = [order.number for order in scheme.orders] or ["00"]
    order = Order("", max(names, key=len), Hand(item.hand), (), number=max(numbers, key=len))
    return {**_words(order, item), "weight": _SPECIMEN_WEIGHT}
