"""The bench card: which decal goes where, measured from what a hand can feel, and in what order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from livery.artwork.typesetting import fit_line, head_of, leading_mm, line_width_mm, wrap_text
from livery.drawing import Anchor, Drawing, Element, Label, LabPaint, Shape
from livery.geometry import Path
from livery.kit.drawing_style import on_page, place_on_page
from livery.placement.drawing import decal_symbols
from livery.placement.model import Layout
from livery.proof.content import item_title, layouts_of, make_proof
from livery.proof.pages import accent_of, bind_pages
from livery.proof.pictures import View, choose_scale, draw_view, scale_words, surface_maps, views_of
from livery.proof.setting import (
    INK,
    MARGIN_MM,
    PAGE_MM,
    SOFT,
    Flow,
    filled_box,
    rule_line,
    tick_box,
)
from livery.proof.surfaces import Laid, decorated_surfaces
from livery.scheme.model import ItemKind, Order, Scheme
from livery.sheet.slug import draw_code
from livery.units import format_lb_oz

BEFORE = (
    "Work at 10 to 32 °C on a clean, dry, dust-free surface. Wipe with 70 % isopropyl alcohol and "
    "let it dry; no ammonia cleaner. Keep solvents from flames and follow the maker's sheet.",
    "Keep oil away from where decals go. After oiling wait as the film's maker says, 24 hours to "
    "4 days, before film will stick.",
    "Gloves and pads: the item's maker says which cleaners its shell and fabric stand. Keep vents, "
    "straps and flex seams clear.",
)
AFTER = (
    "Press down from the middle outwards; leave a day before knocking or play, or as the film's "
    "maker says.",
    "Peel the protective film before any photograph.",
    "Never cut a decal on the item. Heat guns and blades: the workshop's own rules come first.",
)
"""Source: application-guides (read), workshop-choice."""

_FLOW_TOP, _PICTURES_TOP, _PICTURES_HEIGHT = 278.0, 264.0, 84.0
_STEP_PT = 8.0
_CODE_MM = 24.0  # with its quiet zone; workshop choice
_NAME_PT, _NAME_GAP_MM = 6.5, 1.5  # of pictures; workshop choice


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """One decal to apply."""

    number: int
    laid: Laid
    index: int

    @property
    def words(self) -> tuple[str, str]:
        """What is applied, and where it goes."""
        placement = self.laid.placements[self.index]
        x0, y0, x1, y1 = placement.box
        texts = " / ".join(text for _, text in placement.decal.texts if text)
        name = placement.decal.name + (f" “{texts}”" if texts else "")
        mirrored = ", mirrored" if placement.mirrored else ""
        where = f"{self.laid.surface.name}{mirrored}, {x1 - x0:.1f} × {y1 - y0:.1f} mm"
        return f"{name}: {where}", " ".join(
            [_along(self.laid, y0, y1), _across(self.laid, y0, y1, x0, x1)]
        )


def card_drawing(
    scheme: Scheme, order: Order, layouts: Sequence[Layout], address: str = ""
) -> Drawing:
    """The card that the bench works from: A4, pictures numbered, steps to tick.

    Args:
        scheme: the season.
        order: the player's order.
        layouts: the season's; those of this order are shown.
        address: where the season's pages are served; a code on the card opens this bat's.

    Raises:
        ValueError: no layout belongs to the order.
        ArtworkError: a name holds a character that the packaged fonts do not.
    """
    own = layouts_of(order, layouts)
    proof = make_proof(scheme, order, layouts)
    accent = accent_of(scheme.palette)
    flow = Flow(_FLOW_TOP, 18.0)
    flow.y = _PICTURES_TOP
    _head(flow, scheme, order, accent)
    if address:
        flow.add(*_code(f"{address.rstrip('/')}/bench/{order.key}"))
    steps = _steps(own)
    _pictures(flow, scheme, own, steps, accent)
    _notes(flow, "Before", BEFORE, accent)
    _write_steps(flow, steps, accent)
    _notes(flow, "After", AFTER, accent)
    title = f"Bench card: {order.key}, {order.player}"
    head = head_of(scheme.workshop, scheme.name, "bench card", order.key, order.player)
    foot = f"Revision {proof.revision}  ·  content {proof.short_hash}  ·  lengths in mm"
    symbols = decal_symbols(own, scheme.palette)
    return Drawing(title, bind_pages(flow.pages, head, foot, title), symbols, scheme.date)


def _steps(layouts: Sequence[Layout]) -> tuple[Step, ...]:
    """Every placement, numbered: item by item, surface by surface, from the datum on."""
    found = [
        (laid, index)
        for layout in layouts
        for laid in decorated_surfaces(layout)
        for index in range(len(laid.placements))
    ]
    return tuple(Step(number, *pair) for number, pair in enumerate(found, start=1))


def _along(laid: Laid, y0: float, y1: float) -> str:
    """The decal's nearer end from the nearer end of the surface."""
    if laid.layout.item.kind is ItemKind.BAT:
        toe = laid.surface.datum("toe").y_mm
        if toe - y1 < y0:
            return f"Foot {toe - y1:.1f} mm from the toe."
        return f"Top {y0:.1f} mm from the bottom of the grip."
    _, top, _, foot = laid.surface.outline.bounds
    return (
        f"Top {y0 - top:.1f} mm from the panel's top seam, foot {foot - y1:.1f} mm from its foot."
    )


def _across(laid: Laid, y0: float, y1: float, x0: float, x1: float) -> str:
    """The decal's sides from the surface's own sides at the decal's middle."""
    left, right = _sides(laid, (y0 + y1) / 2)
    gaps = x0 - left, right - x1
    if abs(gaps[0] - gaps[1]) < 0.1:
        return f"Centred, {gaps[0]:.1f} mm from either side."
    return f"{gaps[0]:.1f} mm from the left side, {gaps[1]:.1f} mm from the right."


def _sides(laid: Laid, y: float) -> tuple[float, float]:
    x0, _, x1, _ = laid.surface.outline.bounds
    cut = laid.surface.outline.intersection(shapely.LineString([(x0 - 1, y), (x1 + 1, y)]))
    if cut.is_empty:
        return x0, x1
    return cut.bounds[0], cut.bounds[2]


def _code(address: str) -> tuple[Element, ...]:
    """A code to scan, on white at the right of the head."""
    x, y = PAGE_MM[0] - 1.0 - _CODE_MM, PAGE_MM[1] - 1.0 - _CODE_MM
    white = LabPaint((100.0, 0.0, 0.0))
    paper = filled_box(x, y, x + _CODE_MM, y + _CODE_MM, white)
    return paper, draw_code(address, x, y, _CODE_MM, LabPaint((0.0, 0.0, 0.0)))


def _head(flow: Flow, scheme: Scheme, order: Order, accent: LabPaint) -> None:
    height, right = PAGE_MM[1], PAGE_MM[0] - MARGIN_MM - 12.0
    weight = "" if order.weight_g is None else f", {format_lb_oz(order.weight_g)}"
    pale = LabPaint((97.0, 0.0, 2.0))
    flow.add(
        filled_box(0, height - 26, PAGE_MM[0], height, accent),
        fit_line(f"Bench card  {order.key}", MARGIN_MM, height - 11, 16, 90, "display", pale),
        fit_line(
            f"{order.player}, {order.hand}-handed{weight}",
            MARGIN_MM,
            height - 20,
            10,
            105,
            "text-bold",
            pale,
        ),
        fit_line(scheme.workshop, right, height - 11, 9, 60, "text", pale, Anchor.END),
        fit_line(
            f"Season {scheme.name}, revision {scheme.revision}",
            right,
            height - 20,
            9,
            50,
            "text",
            pale,
            Anchor.END,
        ),
    )


def _pictures(
    flow: Flow,
    scheme: Scheme,
    layouts: Sequence[Layout],
    steps: Sequence[Step],
    accent: LabPaint,
) -> None:
    """Small pictures in one row, each decal's number beside it."""
    views = [view for layout in layouts for view in views_of(layout) if _shown(view, steps)]
    if not views:
        return
    gap = 6.0
    width = PAGE_MM[0] - 2 * MARGIN_MM - gap * (len(views) - 1)
    total, tallest = sum(v.size_mm[0] for v in views), max(v.size_mm[1] for v in views)
    scale = choose_scale(total, tallest, (width, _PICTURES_HEIGHT - 8.0))
    cells = [max(view.size_mm[0] / scale, _name_width_mm(view) - gap) for view in views]
    x = MARGIN_MM + (width - sum(cells)) / 2
    foot = _PICTURES_TOP - tallest / scale
    for view, wide in zip(views, cells, strict=True):
        x0, _, x1, y1 = view.bounds
        left = x + wide / 2 - (x0 + x1) / (2 * scale)
        place = place_on_page(left, foot + y1 / scale, 1.0 / scale)
        flow.add(*draw_view(view, place, scheme.palette))
        flow.add(Label(view.name, x + wide / 2, foot - 3.6, _NAME_PT, SOFT, Anchor.MIDDLE))
        maps = {view.surface: place} if view.surface else surface_maps(view.layout.item, place)
        for step in steps:
            if step.laid.layout is view.layout and step.laid.surface.key in maps:
                box = step.laid.placements[step.index].box
                at = on_page(maps[step.laid.surface.key], box[2], (box[1] + box[3]) / 2)
                flow.add(*_number(step.number, at[0] + 2.0, at[1], accent))
        x += wide + gap
    flow.y = foot - 8.0
    flow.add(Label(f"Drawn at {scale_words(scale)}", MARGIN_MM, flow.y, 6.5, SOFT))


def _name_width_mm(view: View) -> float:
    """A picture's name with what keeps it from the next."""
    return line_width_mm(view.name, "text", _NAME_PT) + _NAME_GAP_MM


def _shown(view: View, steps: Sequence[Step]) -> bool:
    """Whether a picture shows any decal to apply."""
    return any(
        step.laid.layout is view.layout and view.surface in ("", step.laid.surface.key)
        for step in steps
    )


def _number(number: int, x: float, y: float, accent: LabPaint) -> tuple[Element, ...]:
    white = LabPaint((97.0, 0.0, 2.0))
    return (
        Shape(Path.circle(x, y, 2.0), accent),
        Label(str(number), x, y - 0.85, 6.5, white, Anchor.MIDDLE, 0.0, "text-bold"),
    )


def _notes(flow: Flow, title: str, notes: Sequence[str], accent: LabPaint) -> None:
    flow.heading(title, accent)
    for note in notes:
        lines = wrap_text(note, _STEP_PT, PAGE_MM[0] - 2 * MARGIN_MM - 8.0)
        flow.need(len(lines) * leading_mm(_STEP_PT) + 1.0)
        flow.add(tick_box(MARGIN_MM, flow.y - leading_mm(_STEP_PT)))
        for line in lines:
            flow.y -= leading_mm(_STEP_PT)
            flow.add(Label(line, MARGIN_MM + 7.0, flow.y, _STEP_PT, INK))
        flow.y -= 1.6


def _write_steps(flow: Flow, steps: Sequence[Step], accent: LabPaint) -> None:
    flow.heading("Apply in this order, each on a hinge of tape", accent)
    item = None
    right = PAGE_MM[0] - MARGIN_MM
    for step in steps:
        flow.need(11.0)
        if step.laid.layout is not item:
            item = step.laid.layout
            flow.need(18.0)
            flow.y -= 4.6
            flow.add(
                fit_line(item_title(item.item), MARGIN_MM, flow.y, 8.5, 150, "text-bold", accent)
            )
            copies = f"{item.copies} to make" if item.copies > 1 else ""
            flow.add(fit_line(copies, right, flow.y, 8.0, 28, "text", SOFT, Anchor.END))
            flow.y -= 1.6
        what, where = step.words
        flow.y -= 4.4
        flow.add(*_number(step.number, MARGIN_MM + 2.2, flow.y - 0.6, accent))
        flow.add(fit_line(what, MARGIN_MM + 7.0, flow.y, _STEP_PT, 134.0, "text-bold"))
        for index, name in enumerate(("placed", "pressed")):
            x = right - 34.0 + index * 18.0
            flow.add(tick_box(x, flow.y - 1.6), Label(name, x + 4.6, flow.y - 1.4, 7.0, SOFT))
        flow.y -= 3.6
        flow.add(fit_line(where, MARGIN_MM + 7.0, flow.y, 7.5, 136.0, "text", SOFT))
        flow.y -= 1.5
        flow.add(rule_line(MARGIN_MM + 7.0, right, flow.y))
