"""Placed decals as they look: every ink at its aim, in painter's order."""

from __future__ import annotations

from livery.artwork.model import Decal
from livery.drawing import LabPaint, Shape, Stroke
from livery.geometry import Affine
from livery.placement.model import Layout
from livery.scheme.model import Palette


def draw_decal(
    decal: Decal, place: Affine, palette: Palette, cut: Stroke | None = None
) -> tuple[Shape, ...]:
    """A decal in its inks.

    Args:
        decal: the artwork, its words set.
        place: the decal's frame to the page.
        palette: the season's inks.
        cut: draws the cut line, too, where given.

    Raises:
        KeyError: the palette lacks one of its inks.
    """
    shapes = [
        Shape(region.path.transformed(place), LabPaint(palette.ink(region.ink).lab))
        for region in decal.regions
    ]
    if cut is not None:
        shapes.append(Shape(decal.outline.transformed(place), None, cut, name=decal.key))
    return tuple(shapes)


def draw_placed(
    layout: Layout, surface: str, place: Affine, palette: Palette, cut: Stroke | None = None
) -> tuple[Shape, ...]:
    """The decals of one surface, in place.

    Args:
        layout: an item with its decals.
        surface: key of the surface; one without decals draws nothing.
        place: the surface's frame to the page.
        palette: the season's inks.
        cut: draws each decal's cut line, too, where given.

    Raises:
        KeyError: the palette lacks an ink of a decal.
    """
    return tuple(
        shape
        for placement in layout.placements
        if placement.surface == surface
        for shape in draw_decal(placement.decal, place @ placement.affine, palette, cut)
    )
