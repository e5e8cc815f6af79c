"""What must hold between the values of a well-formed season."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from livery.colour import press_conditions
from livery.errors import Fault
from livery.scheme.faults import suggest
from livery.scheme.model import ItemKind, Palette, PrintProfile, Role, ThroughCut
from livery.scheme.palettes import RESERVED_PLATES
from livery.scheme.reading import Document
from livery.scheme.season_tables import BatTable, SeasonTable
from livery.scheme.sizes import bat_sizes, check_overrides

_LEAST_PITCH = 4.0  # over a mark's size: workshop choice


def check_consistency(
    document: Document, table: SeasonTable, palette: Palette | None
) -> Iterator[Fault]:
    """Find values that cannot stand together.

    Args:
        document: the season as read, to say where.
        table: the season as validated.
        palette: its inks, or None when it cannot be read.
    """
    for index, bat in enumerate(table.bats):
        yield from _check_bat(document, index, bat)
    yield from _check_lettering(document, table)
    yield from _check_stock(document, table)
    yield from _check_cuts(document, table)
    yield from _check_marks(document, table)
    yield from _check_plates(document, table, palette)
    yield from _check_printing(document, table, palette)
    yield from _check_rules(document, table)
    yield from _check_pairs(document, table)
    if table.master_size is not None and not table.bats:
        yield document.fault(("master_size",), "the season has no bats", "Remove it, or add a bat")


def _check_bat(document: Document, index: int, bat: BatTable) -> Iterator[Fault]:
    for size in bat.sizes:
        if size not in bat_sizes():
            continue
        overrides = overrides_of(bat, size)
        for dimension, found, mend in check_overrides(size, overrides):
            place = ("bats", index, "dims", size, dimension)
            yield document.fault(place, f"{bat.name}, {size}: {found}", mend)


def _check_lettering(document: Document, table: SeasonTable) -> Iterator[Fault]:
    """Words read one way only, whatever hand holds the bat."""
    for index, decal in enumerate(table.decals):
        if decal.may_mirror and (decal.role is Role.LETTERING or decal.text):
            found = f"decal {decal.key!r} carries lettering, which would read backwards"
            mend = "Set may_mirror = false; its place still mirrors"
            yield document.fault(("decals", index, "may_mirror"), found, mend)


def overrides_of(bat: BatTable, size: str) -> dict[str, float]:
    """The season's own dimensions of one size, mm."""
    table = bat.dims.get(size)
    return table.model_dump(exclude_none=True) if table else {}


def _check_stock(document: Document, table: SeasonTable) -> Iterator[Fault]:
    given, default = table.print, PrintProfile()
    margin = default.margin_mm if given.margin is None else given.margin
    for key, size in (
        ("stock_width", given.stock_width or default.stock_width_mm),
        ("stock_height", given.stock_height or default.stock_height_mm),
    ):
        if 2 * margin >= size:
            found = f"margins of {margin:g} mm leave nothing of {size:g} mm"
            yield document.fault(("print", key), found, "Lower the margin, or name larger stock")


def _check_cuts(document: Document, table: SeasonTable) -> Iterator[Fault]:
    """Cuts round decals that would undo one another."""
    given, default = table.print, PrintProfile()
    bleed = default.bleed_mm if given.bleed is None else given.bleed
    if given.peel_tab and given.through_cut not in (None, ThroughCut.NOTHING):
        found = f"peel tabs and a through cut round {given.through_cut} cut the same liner twice"
        yield document.fault(("print", "peel_tab"), found, "Keep one of the two")
    if not given.weeding_margin:
        return
    place = ("print", "weeding_margin")
    if given.peel_tab:
        found = "with peel tabs each decal is cut out, so no waste is left to peel in one piece"
        yield document.fault(place, found, "Keep peel_tab or weeding_margin")
    elif given.through_cut is ThroughCut.KITS:
        found = "a block cut through round each kit bounds its waste already"
        yield document.fault(place, found, 'Remove it, or set through_cut = "sheet"')
    elif given.weeding_margin < bleed:
        found = f"{given.weeding_margin:g} mm is within the bleed of {bleed:g} mm"
        yield document.fault(place, found, "Make it wider than the bleed")


def _check_marks(document: Document, table: SeasonTable) -> Iterator[Fault]:
    """The cutter's marks, the one more that tells the way round among them, stand apart."""
    given, default = table.print, PrintProfile()
    size, pitch = given.cutter_mark_size or default.cutter_mark_mm, given.cutter_pitch
    if pitch is not None and pitch < _LEAST_PITCH * size:
        found = f"marks of {size:g} mm every {pitch:g} mm run into one another"
        mend = f"Give a pitch of at least {_LEAST_PITCH * size:g} mm, as the cutter's maker says"
        yield document.fault(("print", "cutter_pitch"), found, mend)


def _check_plates(
    document: Document, table: SeasonTable, palette: Palette | None
) -> Iterator[Fault]:
    """Every plate needs a name of its own."""
    default = PrintProfile()
    taken = {ink.name.casefold(): f"the ink {ink.key!r}" for ink in palette.inks} if palette else {}
    for key in ("cut_name", "through_cut_name", "white_name", "varnish_name"):
        name = getattr(table.print, key) or getattr(default, key)
        if name.casefold() in RESERVED_PLATES:
            found = f"a plate named {name!r} means a process ink, or every plate"
            yield document.fault(("print", key), found, "Choose another name")
        owner = taken.get(name.casefold())
        if owner is not None:
            found = f"the plate name {name!r} belongs to {owner}"
            yield document.fault(("print", key), found, "Give each plate a name of its own")
        taken.setdefault(name.casefold(), f"print.{key}")


def _check_printing(
    document: Document, table: SeasonTable, palette: Palette | None
) -> Iterator[Fault]:
    """Inks whose printing is named are the palette's; the press condition is known."""
    given = table.print
    condition, known = given.output_condition, press_conditions()
    if given.output_profile is None and condition is not None and condition not in known:
        found = f"there is no press condition {condition!r}"
        mend = suggest(condition, known, "press conditions")
        mend += ", or name the printer's own ICC file as output_profile"
        yield document.fault(("print", "output_condition"), found, mend)
    for key in given.inks:
        if palette is not None and key not in palette.keys:
            found = f"the palette has no ink {key!r}"
            yield document.fault(("print", "inks", key), found, suggest(key, palette.keys, "inks"))


def is_path(rule_book: str) -> bool:
    """Whether a rule book is named by its file rather than by its key."""
    return rule_book.endswith(".toml") or "/" in rule_book or "\\" in rule_book


def _check_rules(document: Document, table: SeasonTable) -> Iterator[Fault]:
    named: set[str] = set()
    for index, book in enumerate(table.rules):
        place = ("rules", index)
        if book in named:
            yield document.fault(place, f"rule book {book!r} is named twice", "Remove one")
        elif is_path(book) and not _is_file(document.path.parent / book):
            mend = "Name a rule book's TOML file, relative to the season's folder"
            yield document.fault(place, f"there is no file {book!r}", mend)
        named.add(book)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _check_pairs(document: Document, table: SeasonTable) -> Iterator[Fault]:
    soft = [*table.gloves, *table.pads]
    known = {bat.key for bat in table.bats} | {item.key for item in soft} | set(ItemKind)
    known |= {panel.material for item in soft for panel in item.panels} | {stock_of(table)}
    known |= {word for row in table.extras for word in (row.key, row.kind, row.material)}
    for index, pair in enumerate(table.tolerances.pairs):
        for side, name in enumerate(pair.between):
            if name not in known:
                place = ("tolerances", "pairs", index, "between", side)
                found = f"{name!r} is no item, kind of kit or material of this season"
                yield document.fault(place, found, suggest(name, known, "known names"))


def stock_of(table: SeasonTable) -> str:
    """The stock decals are printed on: the material of a bat's inks."""
    return table.print.stock or PrintProfile().stock
