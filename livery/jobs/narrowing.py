"""Values cut down to what a task shows, so that a change elsewhere does not redo it."""

from __future__ import annotations

from dataclasses import fields, replace

from livery.placement import Layout
from livery.scheme.model import Order, PrintProfile, Scheme
from livery.sheet import SheetRun


def bare_scheme(scheme: Scheme) -> Scheme:
    """A season's words, inks, tolerances and printing, without kit, decals, orders and prices."""
    return replace(
        scheme,
        bats=(),
        soft_kit=(),
        extras=(),
        groups=(),
        placements=(),
        decals=(),
        orders=(),
        digests=(),
        profile=_no_prices(scheme.profile),
    )


def only_order(scheme: Scheme, order: Order, layouts: tuple[Layout, ...]) -> Scheme:
    """A season with one order; of its decals and files read, those that the order bears."""
    used = {place.decal.key.split("#")[0] for layout in layouts for place in layout.placements}
    decals = tuple(spec for spec in scheme.decals if spec.key in used)
    files = {str(spec.artwork) for spec in decals} | {*scheme.rule_books}
    digests = tuple(one for one in scheme.digests if str(scheme.path.parent / one[0]) in files)
    return replace(bare_scheme(scheme), decals=decals, orders=(order,), digests=digests)


def unpriced(run: SheetRun) -> SheetRun:
    """A run whose sheets do not change with a price: none is printed on them."""
    return replace(run, profile=_no_prices(run.profile), notes=(), placements="")


def only_sheet(run: SheetRun, number: int) -> SheetRun:
    """A run of one sheet; its control strip and slug still name every ink of the whole run."""
    sheet = run.sheets[number]
    used = {item.decal for item in sheet.items}
    decals, inks = [], set[str]()
    for decal in run.decals:
        if decal.key in used or not inks.issuperset(decal.decal.inks):
            decals.append(decal)
            inks.update(decal.decal.inks)
    return replace(run, sheets=(sheet,), decals=tuple(decals), density=0.0)


def _no_prices(profile: PrintProfile) -> PrintProfile:
    plain = PrintProfile()
    prices = [one.name for one in fields(profile) if one.name.startswith(("price_", "currency"))]
    return replace(profile, **{name: getattr(plain, name) for name in prices})
