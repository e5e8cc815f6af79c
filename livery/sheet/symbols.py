"""Each distinct decal as symbols, stored once: its artwork, its cut lines, white and varnish."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import shapely

from livery.drawing import LabColour, Paint, Shape, Spot, Stroke, Symbol
from livery.geometry import Path
from livery.scheme.model import Palette, PrintProfile
from livery.sheet.bleed import extend_edges
from livery.sheet.builds import ink_paint, trap_paint
from livery.sheet.model import SheetDecal
from livery.sheet.pieces import liner_piece
from livery.sheet.regions import PrintArtwork, as_area, clip_region, print_artwork
from livery.sheet.trap import Trap, spread_edges
from livery.units import pt_to_mm

CUT_LAB: LabColour = (52.0, 78.0, -12.0)
WHITE_LAB: LabColour = (96.0, 0.0, 0.0)
VARNISH_LAB: LabColour = (90.0, -6.0, 18.0)
THROUGH_LAB: LabColour = (56.0, -40.0, -20.0)
CUT_LINE_PT = 0.25
_STEPS = ("cut", "white", "varnish", "liner")
_STRAIGHT_MM, _STRAIGHT_TRAP_MM = 0.005, 0.01


@dataclass(frozen=True, slots=True, eq=False)
class DecalSymbols:
    """Symbols of one distinct decal in its print frame; None where its profile has no such step."""

    artwork: Symbol
    cut: Symbol
    white: Symbol | None
    varnish: Symbol | None
    liner: Symbol | None


def cut_spot(profile: PrintProfile) -> Spot:
    """The kiss cut's plate; a colour that shows on any artwork [source: workshop-choice]."""
    return Spot(profile.cut_name, CUT_LAB)


def cut_stroke(profile: PrintProfile) -> Stroke:
    """The kiss cut's line."""
    return Stroke(cut_spot(profile), pt_to_mm(CUT_LINE_PT))


def through_stroke(profile: PrintProfile) -> Stroke:
    """The through cut's line [source: workshop-choice]."""
    return Stroke(Spot(profile.through_cut_name, THROUGH_LAB), pt_to_mm(CUT_LINE_PT))


@lru_cache(maxsize=48)
def draw_decal(decal: SheetDecal, palette: Palette, profile: PrintProfile) -> DecalSymbols:
    """Draw one distinct decal with its bleed, traps and steps, once however often it is asked.

    Args:
        decal: the decal.
        palette: its inks.
        profile: bleed, trap, choke and which steps the printer runs.

    Source: steps overprint [source: iso-19593-1]; derived areas hold to 5 µm, traps to 10 µm, half
    of what they lap over their own ink [source: workshop-choice].
    """
    artwork = print_artwork(decal)
    outer = artwork.outline.buffer(max(profile.bleed_mm, 0.0))
    within = (clip_region(region, outer) for region in artwork.regions)
    clipped = tuple(region for region in within if not region.area.is_empty)
    artwork = PrintArtwork(artwork.cut, artwork.outline, clipped)
    bleed = extend_edges(artwork, profile.bleed_mm)
    lightness = {ink.key: ink.lab[0] for ink in palette.inks}
    traps = spread_edges(artwork, lightness, profile.trap_mm)
    cut = Shape(artwork.cut, stroke=cut_stroke(profile), overprint=True, name="cut")
    return DecalSymbols(
        Symbol(decal.key, tuple(_ink_shapes(artwork, bleed, traps, palette, profile))),
        Symbol(f"{decal.key} cut", (cut,)),
        _white(decal, artwork, bleed, profile) if profile.white else None,
        _varnish(decal, outer, profile) if profile.varnish else None,
        _liner(decal, artwork, profile) if profile.peel_tab_mm > 0.0 else None,
    )


def _ink_shapes(
    artwork: PrintArtwork,
    bleed: list[tuple[str, shapely.Polygon | shapely.MultiPolygon]],
    traps: list[Trap],
    palette: Palette,
    profile: PrintProfile,
) -> list[Shape]:
    shapes = [
        Shape(_plain(area), ink_paint(palette, ink, profile), name=f"bleed {ink}")
        for ink, area in bleed
    ]
    for index, region in enumerate(artwork.regions):
        paint = ink_paint(palette, region.ink, profile)
        shapes.append(Shape(region.path, paint, name=region.ink))
        shapes += [
            _trap_shape(trap, trap_paint(palette, trap.ink, trap.under, profile))
            for trap in traps
            if trap.after == index
        ]
    return shapes


def _trap_shape(trap: Trap, paint: Paint) -> Shape:
    """A trap keeps what lies beneath; between two builds its paint already holds both."""
    path, name = _plain(trap.area, _STRAIGHT_TRAP_MM), f"trap {trap.ink}"
    return Shape(path, paint, overprint=True, name=name)


@lru_cache(maxsize=96)
def _plain(area: shapely.Polygon | shapely.MultiPolygon, straight_mm: float = _STRAIGHT_MM) -> Path:
    """An area's path without the points that a press could not tell from a straight line."""
    straight = area.simplify(straight_mm, preserve_topology=False)
    return Path.from_geometry(
        as_area(straight if straight.is_valid else area.simplify(straight_mm))
    )


def _white(
    decal: SheetDecal,
    artwork: PrintArtwork,
    bleed: list[tuple[str, shapely.Polygon | shapely.MultiPolygon]],
    profile: PrintProfile,
) -> Symbol:
    """White under all ink, drawn in by the choke so that it never shows beside an edge."""
    inked = shapely.union_all([r.area for r in artwork.regions] + [area for _, area in bleed])
    area = as_area(inked.buffer(-profile.white_choke_mm))
    paint = Spot(profile.white_name, WHITE_LAB)
    shape = Shape(_plain(area), paint, overprint=True, name="white")
    return Symbol(f"{decal.key} white", (shape,))


def _varnish(
    decal: SheetDecal, outer: shapely.Polygon | shapely.MultiPolygon, profile: PrintProfile
) -> Symbol:
    """Varnish over the whole decal and its bleed, so that the cut edge is sealed."""
    paint = Spot(profile.varnish_name, VARNISH_LAB)
    shape = Shape(_plain(outer), paint, overprint=True, name="varnish")
    return Symbol(f"{decal.key} varnish", (shape,))


def _liner(decal: SheetDecal, artwork: PrintArtwork, profile: PrintProfile) -> Symbol:
    """The through cut round the decal's piece of liner and its tab."""
    path = Path.from_geometry(liner_piece(artwork.outline, profile))
    cut = Shape(path, stroke=through_stroke(profile), overprint=True, name="liner")
    return Symbol(f"{decal.key} liner", (cut,))


def symbol_keys(decal: str) -> tuple[str, ...]:
    """Keys of all symbols that a decal may have."""
    return (decal, *(f"{decal} {step}" for step in _STEPS))


def symbols_of(decals: Mapping[str, DecalSymbols]) -> tuple[Symbol, ...]:
    """All symbols, in the order of the decals."""
    found: list[Symbol] = []
    for parts in decals.values():
        steps = (parts.artwork, parts.cut, parts.white, parts.varnish, parts.liner)
        found += [symbol for symbol in steps if symbol is not None]
    return tuple(found)
