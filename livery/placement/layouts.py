"""Layouts of a season: its whole range, and every order."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from livery.artwork.model import Decal
from livery.errors import ArtworkError, Fault
from livery.kit.model import KitItem
from livery.limits import Finding, RuleBook, Scene, check_scene
from livery.placement.grading import grade_all
from livery.placement.intent import Intent
from livery.placement.model import Layout, Placement
from livery.placement.notes import note_areas, note_grading, note_mends
from livery.placement.seating import seat_as_stated, seat_decals
from livery.placement.seats import Seat
from livery.placement.wardrobe import Wardrobe
from livery.placement.wording import bears_something, note_blanks, specimen_words, words_of
from livery.scheme.model import DecalSpec, Hand, Order, Scheme

DecalFor = Callable[[DecalSpec, Mapping[str, str]], Decal]
"""Makes a decal from its spec and an order's words."""

_Look = tuple[object, ...]  # what decides a result, to find it again


@dataclass(frozen=True, slots=True)
class _Setting:
    """What a season is laid out from, and what has been found so far.

    Attributes:
        done: an item's seats and findings, by item and looks of its decals.
        seated: seats, by all that a fit takes of the intents.
    """

    scheme: Scheme
    decal_for: DecalFor
    books: tuple[RuleBook, ...]
    wardrobe: Wardrobe
    done: dict[_Look, tuple[tuple[Seat, ...], tuple[Finding, ...]]]
    seated: dict[_Look, Sequence[Seat]]


def lay_out_season(
    scheme: Scheme, decal_for: DecalFor, books: Sequence[RuleBook], wardrobe: Wardrobe
) -> Iterator[Layout]:
    """Lay out a season: every model in every size and hand, then every order.

    The master size is laid out exactly as stated; only other sizes are graded, within what the
    designer allows. Decals that differ in wording alone are fitted once. A decal of which an
    order's missing words leave nothing keeps its room, and is left off.

    Args:
        scheme: the season.
        decal_for: makes decals.
        books: rule books in force.
        wardrobe: builds kit.

    Raises:
        SeasonError: a placement names a surface or anchor that its item has not.
        ArtworkError: from ``decal_for``; of orders, all whose words cannot be set.
    """
    setting = _Setting(scheme, decal_for, tuple(books), wardrobe, {}, {})
    for item in wardrobe.whole_range():
        yield _lay_out_item(setting, item, specimen_words(scheme, item))
    faults: list[Fault] = []
    for order in scheme.orders:
        try:
            yield from _lay_out_order(setting, order)
        except ArtworkError as error:
            told = (
                replace(one, place=f"{one.place}, for order {order.key}") for one in error.faults
            )
            faults += told
    if faults:
        raise ArtworkError(*faults)


def _lay_out_order(setting: _Setting, order: Order) -> Iterator[Layout]:
    for key, size in order.items:
        for item in setting.wardrobe.items(key, size, order.hand):
            layout = _lay_out_item(setting, item, words_of(order, item))
            copies = order.quantity if item.dims is not None else 1
            yield replace(layout, order=order.key, player=order.player, copies=copies)


def count_layouts(scheme: Scheme) -> int:
    """How many layouts a season has; gloves and pads are laid out as a pair."""
    bats = {bat.key for bat in scheme.bats}
    made = [model.key for model in scheme.models for _ in range(len(Hand) * len(model.sizes))]
    made += [key for order in scheme.orders for key, _ in order.items]
    return sum(1 if key in bats else 2 for key in made)


def _lay_out_item(setting: _Setting, item: KitItem, words: Mapping[str, str]) -> Layout:
    specs = [spec for spec in setting.scheme.placements if spec.item == item.key]
    by_key = {spec.key: spec for spec in setting.scheme.decals}
    decals = {spec.key: setting.decal_for(by_key[spec.decal], words) for spec in specs}
    decals_of = {spec.decal: decals[spec.key] for spec in specs}
    look: _Look = (item.key, item.size, item.hand, item.side, *map(_look, decals.values()))
    if look not in setting.done:
        master = setting.wardrobe.master_of(item)
        graded = grade_all(specs, decals, setting.scheme.groups, item, master)
        floors = {spec.key: by_key[spec.decal].min_scale for spec in specs}
        intents = [_floor(intent, floors) for intent in graded]
        setting.done[look] = _arrange(setting, item, intents, item.size == master.size)
    seats, findings = setting.done[look]
    placements = {key: one for seat in seats for key, one in _place(seat, decals)}
    kept = tuple(placements[spec.key] for spec in specs if bears_something(decals[spec.key]))
    borne = dict.fromkeys(by_key[spec.decal] for spec in specs)
    blanks = (one for spec in borne for one in note_blanks(spec, decals_of[spec.key], words))
    return Layout(item, kept, (*findings, *blanks))


def _look(decal: Decal) -> _Look:
    """What a fit depends on: not the words, but how small they are."""
    name = decal.key.partition("#")[0]
    return (name, decal.smallest_text_mm, decal.thinnest_line_mm)


def _floor(intent: Intent, floors: Mapping[str, float]) -> Intent:
    """Hold the decals' own smallest scales, where the season gives one."""
    stated = [floors[part.key] for part in intent.parts if floors[part.key] < 1.0]
    floor = max([intent.least_scale, *stated])
    return replace(intent, least_scale=min(floor, intent.scale))


def _arrange(
    setting: _Setting, item: KitItem, intents: Sequence[Intent], as_stated: bool
) -> tuple[tuple[Seat, ...], tuple[Finding, ...]]:
    seats = _seat(setting, intents, as_stated)
    placed = {one.key: one for seat in seats for one in seat.placed}
    scene = Scene(item, tuple(placed.values()))
    findings = [*check_scene(scene, setting.books), *_notes(scene, seats, setting.books)]
    return seats, tuple(findings)


def _seat(setting: _Setting, intents: Sequence[Intent], as_stated: bool) -> tuple[Seat, ...]:
    """Seats, found once for all hands and models that ask for the same on the same surfaces."""
    order = {intent.key: index for index, intent in enumerate(intents)}
    asked = (as_stated, *(_stance(intent, order) for intent in intents))
    if asked not in setting.seated:
        seat = seat_as_stated if as_stated else seat_decals
        setting.seated[asked] = seat(intents, setting.books)
    return tuple(
        replace(seat, intent=replace(seat.intent, key=own.key, parts=own.parts))
        for seat, own in zip(setting.seated[asked], intents, strict=True)
    )


def _stance(intent: Intent, order: Mapping[str, int]) -> _Look:
    """All that a fit takes of an intent; whom it is linked to by order, as keys are an item's."""
    allowed = (intent.scale, intent.least_scale, intent.slide_mm)
    link = intent.link and (order[intent.link.to], intent.link.at)
    parts = tuple((_look(part.decal), part.turn, part.mirrored) for part in intent.parts)
    return (intent.surface, intent.x_mm, intent.y_mm, *allowed, link, parts)


def _notes(scene: Scene, seats: Sequence[Seat], books: Sequence[RuleBook]) -> Iterator[Finding]:
    for seat in seats:
        surface = seat.intent.surface.key
        names = " and ".join(part.key for part in seat.intent.parts)
        subject = f"{scene.name}, {surface}: {names}"
        yield from note_grading(seat, subject, books)
        if not seat.fits:
            beside = [o for o in seats if o.intent.surface.key == surface and o is not seat]
            yield from note_mends(seat, subject, books, beside)
    yield from note_areas(seats, scene.name, books)


def _place(seat: Seat, decals: Mapping[str, Decal]) -> Iterator[tuple[str, Placement]]:
    """A seat's placements by key, with the artwork of this order's words."""
    for part in seat.intent.parts:
        affine = seat.intent.affine(part, seat.fit)
        surface, scale = seat.intent.surface.key, seat.fit.scale
        decal = decals[part.key]
        yield part.key, Placement(part.key, decal, surface, affine, scale, mirrored=part.mirrored)
