"""The shape of ``season.toml``: every table and key it may hold."""

from __future__ import annotations

import string
from typing import Annotated

from pydantic import AfterValidator, Field

from livery.scheme.fields import (
    Count,
    Date,
    Difference,
    Key,
    Length,
    Name,
    PositiveLength,
    Share,
    Table,
    Weight,
    Word,
    Words,
    ZeroOrLength,
    quote,
    refusal,
)
from livery.scheme.model import (
    TEXT_FIELDS,
    Along,
    CutterMark,
    Finish,
    Hand,
    Prints,
    Role,
    ScalesWith,
    Side,
    ThroughCut,
)


def _check_template(template: str) -> str:
    mend = "Use " + ", ".join(f"{{{name}}}" for name in TEXT_FIELDS) + "; {{ and }} for braces"
    try:
        pieces = list(string.Formatter().parse(template))
    except ValueError as error:
        raise refusal(f"{quote(template)}: {error}", mend) from error
    for _, name, layout, conversion in pieces:
        if name is not None and (name not in TEXT_FIELDS or layout or conversion):
            raise refusal(f"{quote(template)} asks for unknown text {{{name}}}", mend)
    return template


Template = Annotated[Words, AfterValidator(_check_template)]
Points = Annotated[float, Field(gt=0, le=100)]
Price = Annotated[float, Field(ge=0, le=1e6)]


class DimsTable(Table):
    """Overrides of one bat size."""

    overall_length: PositiveLength | None = None
    blade_length: PositiveLength | None = None
    exposed_handle: PositiveLength | None = None
    grip_below_entry: ZeroOrLength | None = None
    shoulder_length: PositiveLength | None = None
    width: PositiveLength | None = None
    edge_thickness: PositiveLength | None = None
    spine_height: PositiveLength | None = None
    handle_width: PositiveLength | None = None
    spine_from_toe: PositiveLength | None = None
    toe_radius: ZeroOrLength | None = None
    toe_thickness: PositiveLength | None = None
    taper: ZeroOrLength | None = None
    hollow: Annotated[float, Field(ge=-1, le=1)] | None = None
    swell: Annotated[float, Field(ge=1, le=10)] | None = None
    entry_share: Share | None = None
    shoulder_power: Annotated[float, Field(ge=1, le=10)] | None = None
    bow: ZeroOrLength | None = None
    spine_offset: Length | None = None


class BatTable(Table):
    """A model of bat."""

    key: Key
    name: Name
    sizes: Annotated[list[Key], Field(min_length=1)]
    dims: dict[str, DimsTable] = Field(default_factory=dict)
    outlines: dict[str, Name] = Field(default_factory=dict)


class PanelTable(Table):
    """A panel of a glove or pad."""

    panel: Key
    ink: Key
    material: Name


class SoftTable(Table):
    """A pair of gloves or pads."""

    key: Key
    name: Name
    sizes: Annotated[list[Key], Field(min_length=1)]
    panels: list[PanelTable] = Field(default_factory=list)


class DecalTable(Table):
    """A decal."""

    key: Key
    name: Name
    artwork: Name
    width: PositiveLength
    role: Annotated[Role, Word]
    thickness: Annotated[PositiveLength, Field(le=10)]
    text: dict[Key, Template] = Field(default_factory=dict)
    may_mirror: bool = False
    min_scale: Share = 1.0
    spares: Count = 0


class PlacementTable(Table):
    """Where a decal goes on the master size."""

    key: Key
    decal: Key
    item: Key
    surface: Key
    along: Annotated[Along, Word] = Along.DATUM
    x: Length = 0.0
    y: Length | None = None  # settled by the alignment, or its lack is a fault of references
    align_to: Key | None = None
    side: Annotated[Side, Word] | None = None
    gap: ZeroOrLength | None = None
    rotation: Annotated[float, Field(ge=-360, le=360)] = 0.0
    scales_with: Annotated[ScalesWith, Word] = ScalesWith.NOTHING
    may_shrink_to: Share = 1.0
    may_slide: ZeroOrLength = 0.0
    mirror_for_left: bool = False


class GroupTable(Table):
    """Placements that scale and slide as one."""

    key: Key
    placements: Annotated[list[Key], Field(min_length=2)]
    may_shrink_to: Share = 1.0
    may_slide: ZeroOrLength = 0.0


class OrderItemTable(Table):
    """One thing ordered: a bat model, a pair of gloves or a pair of pads, in a size."""

    item: Key
    size: Key


class OrderTable(Table):
    """One player's kit."""

    key: Key
    player: Name
    hand: Annotated[Hand, Word]
    items: Annotated[list[OrderItemTable], Field(min_length=1)]
    quantity: Annotated[int, Field(ge=1, le=100_000)] = 1
    weight: Weight | None = None
    number: Words = ""


class PrintTable(Table):
    """How the printer works; what is not said keeps its default."""

    key: Key | None = None
    name: Name | None = None
    stock: Name | None = None
    stock_width: PositiveLength | None = None
    stock_height: PositiveLength | None = None
    roll: bool | None = None
    margin: ZeroOrLength | None = None
    gripper: ZeroOrLength | None = None
    bleed: ZeroOrLength | None = None
    safe: ZeroOrLength | None = None
    gap: ZeroOrLength | None = None
    min_line: ZeroOrLength | None = None
    min_text_pt: Points | None = None
    min_cut_radius: ZeroOrLength | None = None
    trap: Annotated[ZeroOrLength, Field(le=2)] | None = None
    white_choke: Annotated[ZeroOrLength, Field(le=5)] | None = None
    cross: PositiveLength | None = None
    cross_line_pt: Points | None = None
    control_patch: PositiveLength | None = None
    white: bool | None = None
    varnish: bool | None = None
    cut_name: Name | None = None
    through_cut_name: Name | None = None
    white_name: Name | None = None
    varnish_name: Name | None = None
    output_condition: Name | None = None
    output_profile: Name | None = None
    inks: dict[str, Annotated[Prints, Word]] = Field(default_factory=dict)
    most_ink: Annotated[float, Field(ge=1, le=4)] | None = None
    black: Annotated[float, Field(ge=0, le=1)] | None = None
    through_cut: Annotated[ThroughCut, Word] | None = None
    weeding_margin: ZeroOrLength | None = None
    peel_tab: ZeroOrLength | None = None
    cutter_mark: Annotated[CutterMark, Word] | None = None
    cutter_mark_size: PositiveLength | None = None
    cutter_pitch: PositiveLength | None = None
    cutter_inset: ZeroOrLength | None = None
    currency: Name | None = None
    price_stock_m2: Price | None = None
    price_ink_m2: Price | None = None
    price_white_m2: Price | None = None
    price_varnish_m2: Price | None = None
    price_plate: Price | None = None


class PairToleranceTable(Table):
    """A tolerance between two things: item keys, kinds of kit or materials."""

    between: Annotated[list[Name], Field(min_length=2, max_length=2)]
    tolerance: Difference
    ink: Key | None = None


class TolerancesTable(Table):
    """What still matches, ΔE00."""

    default: Difference | None = None
    inks: dict[str, Difference] = Field(default_factory=dict)
    finishes: dict[Annotated[Finish, Word], Difference] = Field(default_factory=dict)
    pairs: list[PairToleranceTable] = Field(default_factory=list)


class ExtraTable(Table):
    """What must match and is not laid out: a shirt, a helmet, a bag, a grip."""

    key: Key
    name: Name
    kind: Key
    material: Name
    inks: Annotated[list[Key], Field(min_length=1)]


class SeasonTable(Table):
    """The whole season."""

    season: Name
    workshop: Words = ""
    revision: Annotated[int, Field(ge=1, le=1_000_000)] = 1
    date: Date = ""
    note: Words = ""
    palette: Name
    master_size: Key | None = None
    rules: list[Name] = Field(default_factory=list)
    print: PrintTable = PrintTable()
    bats: list[BatTable] = Field(default_factory=list)
    gloves: list[SoftTable] = Field(default_factory=list)
    pads: list[SoftTable] = Field(default_factory=list)
    decals: list[DecalTable] = Field(default_factory=list)
    placements: list[PlacementTable] = Field(default_factory=list)
    groups: list[GroupTable] = Field(default_factory=list)
    orders: list[OrderTable] = Field(default_factory=list)
    extras: list[ExtraTable] = Field(default_factory=list)
    tolerances: TolerancesTable = TolerancesTable()
