"""A player's proof, page by page."""

from __future__ import annotations

from collections.abc import Sequence

from livery.artwork.typesetting import fit_line, head_of
from livery.drawing import (
    Anchor,
    Drawing,
    Element,
    Label,
    LabPaint,
    Layer,
    LayerKind,
    Page,
)
from livery.placement.drawing import decal_symbols
from livery.placement.model import Layout
from livery.proof.change_pages import draw_changes
from livery.proof.content import layouts_of, make_proof
from livery.proof.cover import draw_cover
from livery.proof.difference import find_differences
from livery.proof.likeness import likenesses_of
from livery.proof.model import Proof
from livery.proof.setting import FAINT, MARGIN_MM, PAGE_MM, SOFT, Flow, rule_line
from livery.proof.statements import (
    write_changes,
    write_inks,
    write_limits,
    write_signature,
    write_sizes,
)
from livery.proof.surfaces import draw_surfaces, group_surfaces
from livery.scheme.model import Order, Palette, Scheme

_FLOW_TOP, _FLOW_BOTTOM = 278.0, 18.0


def proof_drawing(
    scheme: Scheme,
    order: Order,
    layouts: Sequence[Layout],
    previous: Proof | None = None,
) -> Drawing:
    """The proof a player signs: A4 pages, in the season's inks as device-independent colour.

    Args:
        scheme: the season.
        order: the player's order.
        layouts: the season's; those of this order are shown.
        previous: the revision before, for the list of changes; drawn where it kept likenesses.

    Returns:
        Cover, a page of each decorated surface, pictures of what changed, then inks, sizes,
        changes, limits and signature.

    Raises:
        ValueError: no layout belongs to the order.
        ArtworkError: a name holds a character that the packaged fonts do not.
    """
    own = layouts_of(order, layouts)
    proof = make_proof(scheme, order, layouts)
    accent = accent_of(scheme.palette)
    pages = [draw_cover(scheme, order, own, proof, accent)]
    pages += [draw_surfaces(group, scheme.palette, accent) for group in group_surfaces(own)]
    drawn = _changes(scheme, own, proof, previous, accent)
    shown = (len(pages) + 1, len(pages) + len(drawn))
    pages += drawn
    flow = Flow(_FLOW_TOP, _FLOW_BOTTOM)
    write_inks(flow, scheme, own, accent)
    write_sizes(flow, order, own, accent)
    write_changes(flow, proof, previous, accent, shown)
    write_limits(flow, own, accent)
    write_signature(flow, proof, accent)
    pages += flow.pages
    title = f"Proof: {order.player}, {scheme.name}, revision {proof.revision}"
    head = head_of(scheme.workshop, scheme.name, order.key, order.player)
    foot = f"Revision {proof.revision}  ·  content {proof.short_hash}  ·  lengths in mm"
    symbols = decal_symbols(own, scheme.palette)
    return Drawing(title, bind_pages(pages, head, foot, title), symbols, scheme.date)


def changes_drawing(scheme: Scheme, before: Proof, after: Proof) -> Drawing | None:
    """What looks different between two revisions that kept likenesses; None where nothing does."""
    accent = accent_of(scheme.palette)
    names = _revision_names(before, after)
    pages = draw_changes(find_differences(before.likenesses, after.likenesses), names, accent)
    if not pages:
        return None
    title = f"Changes: {after.order}, {names[0]} to {names[1]}"
    head = head_of(scheme.workshop, scheme.name, after.order, after.player)
    foot = f"{before.short_hash} to {after.short_hash}  ·  lengths in mm"
    return Drawing(title, bind_pages(pages, head, foot, title), (), scheme.date)


def _changes(
    scheme: Scheme,
    layouts: Sequence[Layout],
    proof: Proof,
    previous: Proof | None,
    accent: LabPaint,
) -> list[list[Element]]:
    """Pages of pictures of what changed; none where the revision before kept no likenesses."""
    if previous is None or not previous.likenesses:
        return []
    now = likenesses_of(layouts, scheme.palette)
    names = _revision_names(previous, proof)
    return draw_changes(find_differences(previous.likenesses, now), names, accent)


def _revision_names(before: Proof, after: Proof) -> tuple[str, str]:
    if before.revision != after.revision:
        return f"revision {before.revision}", f"revision {after.revision}"
    return _exact_name(before), _exact_name(after)


def _exact_name(proof: Proof) -> str:
    return f"revision {proof.revision}, {proof.content_hash[:8]}"


def accent_of(palette: Palette) -> LabPaint:
    """The colour of headings: the season's first ink that reads on white, else a dark grey."""
    for ink in palette.inks:
        if ink.lab[0] <= 50.0:
            return LabPaint(ink.lab)
    return LabPaint((30.0, 0.0, 0.0))


def bind_pages(
    pages: Sequence[Sequence[Element]], head: str, foot: str, title: str
) -> tuple[Page, ...]:
    """Pages with running head and foot; the first has its own head."""
    bound = []
    for number, elements in enumerate(pages, start=1):
        frame = _foot(foot, f"{number} of {len(pages)}")
        if number > 1:
            frame.append(fit_line(head, MARGIN_MM, PAGE_MM[1] - 12.0, 7.0, 180.0, "text", SOFT))
        layer = Layer("page", LayerKind.INFORMATION, (*elements, *frame))
        bound.append(Page(*PAGE_MM, (layer,), title))
    return tuple(bound)


def _foot(words: str, number: str) -> list[Element]:
    side = PAGE_MM[0] - MARGIN_MM
    return [
        rule_line(MARGIN_MM, side, 14.0, FAINT),
        fit_line(words, MARGIN_MM, 10.0, 6.5, 150.0, "text", SOFT),
        Label(number, side, 10.0, 6.5, SOFT, Anchor.END),
    ]
