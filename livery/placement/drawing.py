"""Placed decals as they look, cut out: every ink at its aim, each decal stored once."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from livery.artwork.cutting import cut_regions
from livery.artwork.model import Decal
from livery.drawing import LabPaint, Shape, Symbol, Use
from livery.geometry import Affine
from livery.placement.model import Layout, Placement
from livery.scheme.model import Palette


def decal_symbols(layouts: Iterable[Layout], palette: Palette) -> tuple[Symbol, ...]:
    """Each distinct decal once, in its inks' aims, to be drawn by ``use_decal``.

    Args:
        layouts: what a drawing shows.
        palette: the season's inks.

    Raises:
        KeyError: the palette lacks an ink of a decal.
    """
    decals: dict[str, Decal] = {}
    for layout in layouts:
        for placement in layout.placements:
            decals.setdefault(placement.decal.key, placement.decal)
    return tuple(decal_symbol(decal, palette) for decal in decals.values())


def use_decal(placement: Placement, place: Affine) -> Use:
    """A placed decal on a page.

    Args:
        placement: the decal where it sits.
        place: its surface's frame to the page.
    """
    affine = place @ placement.affine
    return Use(_key(placement.decal), affine, {"placement": placement.key})


def draw_placed(layout: Layout, surface: str, place: Affine) -> tuple[Use, ...]:
    """The decals of one surface, in place; their symbols belong to the drawing.

    Args:
        layout: an item with its decals.
        surface: key of the surface; one without decals draws nothing.
        place: the surface's frame to the page.
    """
    return tuple(use_decal(p, place) for p in layout.placements if p.surface == surface)


@lru_cache(maxsize=256)
def decal_symbol(decal: Decal, palette: Palette) -> Symbol:
    """One decal, cut out, in its inks' aims.

    Raises:
        KeyError: the palette lacks one of its inks.
    """
    regions = cut_regions(decal)
    shapes = [Shape(region.path, LabPaint(palette.ink(region.ink).lab)) for region in regions]
    return Symbol(_key(decal), tuple(shapes))


def _key(decal: Decal) -> str:
    return f"decal {decal.key}"
