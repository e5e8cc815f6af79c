"""Sheets as drawings: one page a sheet, symbols shared by the whole run."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType

from livery.drawing import Drawing, Element, Layer, LayerKind, Page, Symbol, Use
from livery.scheme.model import PrintProfile
from livery.sheet.blocks import draw_blocks, draw_weeding_frame
from livery.sheet.marks import draw_marks
from livery.sheet.model import Sheet, SheetDecal, SheetItem, SheetRun
from livery.sheet.preparation import sheet_frame
from livery.sheet.slug import draw_slug, run_inks, word_paint
from livery.sheet.strip import draw_strip
from livery.sheet.symbols import DecalSymbols, draw_decal, symbols_of
from livery.sheet.tally import print_frame


def run_drawing(run: SheetRun) -> Drawing:
    """Every sheet of a run, a page each; each distinct decal is drawn once."""
    return _drawing(run, run.sheets, f"{run.season}, revision {run.revision}")


def sheet_drawing(run: SheetRun, sheet: Sheet) -> Drawing:
    """One sheet of a run, with only the decals that stand on it."""
    title = f"{run.season}, revision {run.revision}, sheet {sheet.number} of {sheet.of}"
    return _drawing(run, (sheet,), title)


def _drawing(run: SheetRun, sheets: Sequence[Sheet], title: str) -> Drawing:
    used = {item.decal for sheet in sheets for item in sheet.items}
    decals = {
        decal.key: draw_decal(decal, run.palette, run.profile)
        for decal in run.decals
        if decal.key in used
    }
    frames = {decal.key: decal for decal in run.decals}
    pages = tuple(_page(run, sheet, decals, frames) for sheet in sheets)
    return Drawing(
        title,
        pages,
        symbols_of(decals),
        run.date,
        run.profile.output_condition,
        run.profile.output_profile,
    )


def _page(
    run: SheetRun,
    sheet: Sheet,
    decals: dict[str, DecalSymbols],
    frames: dict[str, SheetDecal],
) -> Page:
    profile, inks = run.profile, run_inks(run)
    frame = sheet_frame(replace(profile, stock_height_mm=sheet.height_mm), run.palette, inks)
    information = draw_strip(run.palette, profile, inks, frame, word_paint(run))
    information += draw_slug(run, sheet, frame)
    layers = [Layer("artwork", LayerKind.INK, _uses(sheet, decals, frames, "artwork"), True)]
    layers.append(Layer("printer information", LayerKind.INFORMATION, tuple(information), True))
    waste = draw_weeding_frame(run, sheet, frame.usable)
    layers += _step_layers(sheet, decals, frames, profile, waste)
    through = (*draw_blocks(run, sheet, frame.usable), *_uses(sheet, decals, frames, "liner"))
    if through:
        layers.append(Layer(profile.through_cut_name, LayerKind.THROUGH_CUT, through))
    layers.append(Layer("marks", LayerKind.MARKS, tuple(draw_marks(profile, frame))))
    title = f"Sheet {sheet.number} of {sheet.of}"
    return Page(sheet.width_mm, sheet.height_mm, tuple(layers), title)


def _step_layers(
    sheet: Sheet,
    decals: dict[str, DecalSymbols],
    frames: dict[str, SheetDecal],
    profile: PrintProfile,
    waste: Sequence[Element],
) -> list[Layer]:
    """White, varnish and kiss cut; the cut that bounds the waste comes last."""
    steps = [(profile.white_name, LayerKind.WHITE, "white")] if profile.white else []
    if profile.varnish:
        steps.append((profile.varnish_name, LayerKind.VARNISH, "varnish"))
    layers = [Layer(name, kind, _uses(sheet, decals, frames, part)) for name, kind, part in steps]
    cuts = (*_uses(sheet, decals, frames, "cut"), *waste)
    return [*layers, Layer(profile.cut_name, LayerKind.KISS_CUT, cuts)]


def _uses(
    sheet: Sheet, decals: dict[str, DecalSymbols], frames: dict[str, SheetDecal], part: str
) -> tuple[Element, ...]:
    """Every item once more, under the map from its decal's print frame to the sheet."""
    uses: list[Element] = []
    for number, item in enumerate(sheet.items, start=1):
        symbol: Symbol | None = getattr(decals[item.decal], part)
        if symbol is not None:
            uses.append(_use(symbol, item, frames[item.decal], number))
    return tuple(uses)


def _use(symbol: Symbol, item: SheetItem, decal: SheetDecal, number: int) -> Use:
    words = {
        "decal": item.decal,
        "order": item.order or "spare",
        "placement": item.placement,
        "item": str(number),
    }
    affine = item.affine @ print_frame(decal).inverse()
    return Use(symbol.key, affine, MappingProxyType(words))
