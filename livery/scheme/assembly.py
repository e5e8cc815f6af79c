"""Validated tables become the frozen values every other room works with."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from livery.scheme.consistency import is_path, overrides_of
from livery.scheme.model import (
    Alignment,
    BatModel,
    DecalSpec,
    Extra,
    GroupSpec,
    Ink,
    ItemKind,
    Order,
    PairTolerance,
    Palette,
    Panel,
    PlacementSpec,
    PrintProfile,
    Scheme,
    Side,
    SoftKit,
    Tolerances,
)
from livery.scheme.palettes import DEFAULT_TOLERANCE_DE00
from livery.scheme.reading import Document
from livery.scheme.season_tables import (
    BatTable,
    DecalTable,
    ExtraTable,
    GroupTable,
    OrderTable,
    PlacementTable,
    PrintTable,
    SeasonTable,
    SoftTable,
    TolerancesTable,
)
from livery.scheme.sizes import resolve_dims


def assemble(document: Document, table: SeasonTable, palette: Palette, icc: bytes) -> Scheme:
    """Build the season; the tables were found faultless, and so was the printer's profile."""
    folder = document.path.parent
    first = table.bats[0].sizes[0] if table.bats else ""
    soft = [(ItemKind.GLOVE, row) for row in table.gloves] + [
        (ItemKind.PAD, row) for row in table.pads
    ]
    return Scheme(
        path=document.path,
        name=table.season,
        workshop=table.workshop,
        revision=table.revision,
        date=table.date,
        note=table.note,
        palette=_apply_printing(_apply_tolerances(palette, table.tolerances), table.print),
        bats=tuple(_bat(row, document.path) for row in table.bats),
        soft_kit=tuple(_soft_kit(kind, row) for kind, row in soft),
        decals=tuple(_decal(row, folder) for row in table.decals),
        placements=tuple(_placement(row) for row in table.placements),
        groups=tuple(_group(row) for row in table.groups),
        orders=tuple(_order(row) for row in table.orders),
        profile=_profile(table.print, icc),
        master_size=table.master_size or first,
        rule_books=tuple(str(folder / book) if is_path(book) else book for book in table.rules),
        tolerances=_tolerances(table.tolerances),
        extras=tuple(_extra(row) for row in table.extras),
    )


def _apply_tolerances(palette: Palette, table: TolerancesTable) -> Palette:
    """The season's tolerance of an ink, else of its finish, outranks the palette's."""

    def settle(ink: Ink) -> Ink:
        season = table.inks.get(ink.key) or table.finishes.get(ink.finish) or table.default
        tolerance = season or ink.tolerance_de00
        return replace(ink, tolerance_de00=tolerance)

    return replace(palette, inks=tuple(settle(ink) for ink in palette.inks))


def _apply_printing(palette: Palette, table: PrintTable) -> Palette:
    """How the season prints an ink outranks the palette's word."""

    def settle(ink: Ink) -> Ink:
        return replace(ink, prints=table.inks.get(ink.key, ink.prints))

    return replace(palette, inks=tuple(settle(ink) for ink in palette.inks))


def _tolerances(table: TolerancesTable) -> Tolerances:
    return Tolerances(
        default=table.default or DEFAULT_TOLERANCE_DE00,
        inks=tuple(table.inks.items()),
        pairs=tuple(
            PairTolerance((row.between[0], row.between[1]), row.tolerance, row.ink or "")
            for row in table.pairs
        ),
        finishes=tuple(table.finishes.items()),
    )


def _extra(row: ExtraTable) -> Extra:
    return Extra(row.key, row.name, row.kind, row.material, tuple(row.inks))


def _bat(row: BatTable, season: Path) -> BatModel:
    dims = tuple(resolve_dims(size, overrides_of(row, size), season.name) for size in row.sizes)
    outlines = tuple((size, season.parent / name) for size, name in row.outlines.items())
    return BatModel(row.key, row.name, tuple(row.sizes), dims, outlines)


def _soft_kit(kind: ItemKind, row: SoftTable) -> SoftKit:
    panels = tuple(Panel(panel.panel, panel.ink, panel.material) for panel in row.panels)
    return SoftKit(row.key, row.name, kind, tuple(row.sizes), panels)


def _decal(row: DecalTable, folder: Path) -> DecalSpec:
    return DecalSpec(
        key=row.key,
        name=row.name,
        artwork=folder / row.artwork,
        width_mm=row.width,
        role=row.role,
        thickness_mm=row.thickness,
        text=tuple(row.text.items()),
        may_mirror=row.may_mirror,
        min_scale=row.min_scale,
        quantity_spare=row.spares,
    )


def _placement(row: PlacementTable) -> PlacementSpec:
    return PlacementSpec(
        key=row.key,
        decal=row.decal,
        item=row.item,
        surface=row.surface,
        along=row.along,
        x_mm=row.x,
        y_mm=row.y or 0.0,
        rotation_deg=row.rotation,
        scales_with=row.scales_with,
        may_shrink_to=row.may_shrink_to,
        may_slide_mm=row.may_slide,
        mirror_for_left=row.mirror_for_left,
        align=_alignment(row),
    )


def _alignment(row: PlacementTable) -> Alignment | None:
    if row.align_to is None:
        return None
    return Alignment(row.align_to, row.side or Side.ON, row.gap or 0.0)


def _group(row: GroupTable) -> GroupSpec:
    return GroupSpec(row.key, tuple(row.placements), row.may_shrink_to, row.may_slide)


def _order(row: OrderTable) -> Order:
    return Order(
        key=row.key,
        player=row.player,
        hand=row.hand,
        items=tuple((item.item, item.size) for item in row.items),
        quantity=row.quantity,
        weight_g=row.weight,
        number=row.number,
    )


_LENGTHS = (
    "stock_width",
    "stock_height",
    "margin",
    "gripper",
    "bleed",
    "safe",
    "gap",
    "min_line",
    "min_cut_radius",
    "trap",
    "white_choke",
    "cross",
    "control_patch",
    "cutter_pitch",
    "cutter_inset",
    "weeding_margin",
    "peel_tab",
)


def _profile(table: PrintTable, icc: bytes) -> PrintProfile:
    """Defaults of the trade, with what the season says over them."""
    given: dict[str, Any] = table.model_dump(exclude_none=True, exclude={"inks"})
    if named := given.pop("output_profile", None):
        given = {"output_condition": Path(named).stem, **given, "output_profile": icc}
    if "cutter_mark_size" in given:
        given["cutter_mark_mm"] = given.pop("cutter_mark_size")
    return PrintProfile(
        **{f"{key}_mm" if key in _LENGTHS else key: value for key, value in given.items()}
    )
