"""A drawing's own polygons, rasterised plate by plate as a press would print them.

Independent of the writers: painter's order on masks, a pixel is inside when its centre is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from shapely import MultiLineString, get_coordinates, get_parts

from livery.drawing import Drawing, Element, Label, Paint, Process, Registration, Shape, Spot, Use
from livery.geometry import Affine, FillRule

Mask = NDArray[np.bool_]
FLAT_MM = 0.0005
TIE_PX = 1.0 / 128.0  # Ghostscript keeps places to 1/256 of a pixel, our files to 0.1 µm
_MM_PER_INCH = 25.4
PROCESS = ("Cyan", "Magenta", "Yellow", "Black")


@dataclass(frozen=True, slots=True, eq=False)
class Outline:
    """Rings, one after another, each closed by a straight line.

    Attributes:
        points: mm, y up, shape (n, 2).
        following: index of the point after each, shape (n,).
        evenodd: filled where the rings wind an odd number of times; otherwise where they wind.
    """

    points: NDArray[np.float64]
    following: NDArray[np.intp]
    evenodd: bool


def without_words(drawing: Drawing) -> Drawing:
    """A drawing without labels on its pages, which a plan leaves out."""
    pages = []
    for page in drawing.pages:
        kept = (tuple(e for e in x.elements if not isinstance(e, Label)) for x in page.layers)
        layers = (replace(x, elements=e) for x, e in zip(page.layers, kept, strict=True))
        pages.append(replace(page, layers=tuple(layers)))
    return replace(drawing, pages=tuple(pages))


def plates(drawing: Drawing, dpi: float, page: int = 0) -> dict[str, Mask]:
    """Where each spot and process ink prints on a page (see ``plates_and_ties``)."""
    return plates_and_ties(drawing, dpi, page)[0]


def plates_and_ties(drawing: Drawing, dpi: float, page: int = 0) -> tuple[dict[str, Mask], Mask]:
    """Where each spot and process ink prints on a page; labels are left out.

    Process inks overprint as DeviceCMYK does in overprint mode 1: amounts of nothing leave what
    lies beneath.

    Returns:
        A mask for each spot and each process ink, True where its plate has ink, tints included;
        and the pixels whose centre an edge meets as nearly as a renderer tells places apart, so
        that they may fall on either side.
    """
    sheet = drawing.pages[page]
    shape = tuple(round(side / _MM_PER_INCH * dpi) for side in (sheet.height_mm, sheet.width_mm))
    symbols = {symbol.key: symbol.elements for symbol in drawing.symbols}
    painted: dict[str, Mask] = {}
    everywhere, ties = np.zeros(shape, dtype=np.bool_), np.zeros(shape, dtype=np.bool_)
    for layer in sheet.layers:
        for element, affine in _leaves(layer.elements, symbols, Affine()):
            for outline, paint in _areas(element, affine):
                if (seen := _window(outline, dpi, shape)) is None:
                    continue
                window, mask, tied = seen
                ties[window] |= tied
                clear, inks = ~mask, _inks(paint)
                for name in inks - painted.keys():
                    painted[name] = everywhere.copy()
                for name, plate in painted.items():
                    if isinstance(paint, Registration) or name in inks:
                        plate[window] |= mask
                    elif not element.overprint:
                        plate[window] &= clear
                if isinstance(paint, Registration):
                    everywhere[window] |= mask
    return painted, ties


def _inks(paint: Paint) -> set[str]:
    """Names of the plates a paint puts ink on; not those it marks by being on every plate."""
    if isinstance(paint, Spot):
        return {paint.name}
    if isinstance(paint, Process):
        amounts = zip(PROCESS, (paint.c, paint.m, paint.y, paint.k), strict=True)
        return {name for name, amount in amounts if amount > 0.0}
    return set()


def _window(
    outline: Outline, dpi: float, shape: tuple[int, ...]
) -> tuple[tuple[slice, slice], Mask, Mask] | None:
    """The part of the page that an area can touch, its mask and its ties there."""
    if not len(outline.points):
        return None
    scale, height, width = dpi / _MM_PER_INCH, shape[0], shape[1]
    (x0, y0), (x1, y1) = outline.points.min(axis=0) * scale, outline.points.max(axis=0) * scale
    top, bottom = max(0, int(height - y1) - 1), min(height, int(height - y0) + 2)
    left, right = max(0, int(x0) - 1), min(width, int(x1) + 2)
    if top >= bottom or left >= right:
        return None
    moved = replace(outline, points=outline.points - np.array((left, height - bottom)) / scale)
    window = (slice(top, bottom), slice(left, right))
    return window, *raster(moved, dpi, (bottom - top, right - left))


def raster(outline: Outline, dpi: float, shape: tuple[int, ...]) -> tuple[Mask, Mask]:
    """An area's mask, and its ties, on a page of ``shape`` pixels (rows, columns)."""
    height, width = shape
    points = outline.points / _MM_PER_INCH * dpi
    points[:, 1] = height - points[:, 1]
    turns = np.zeros((height, width + 1), dtype=np.int8)
    ties = np.zeros((height, width + 1), dtype=np.bool_)
    _cross(turns, ties, np.hstack((points, points[outline.following])))
    winding = np.cumsum(turns, axis=1, dtype=np.int8)[:, :width]
    return (winding & 1 if outline.evenodd else winding) != 0, ties[:, :width]


def _cross(turns: NDArray[np.int8], ties: Mask, edges: NDArray[np.float64]) -> None:
    """Count each edge on the rows of pixel centres it crosses, at the first pixel beyond it."""
    height, width = turns.shape[0], turns.shape[1] - 1
    x0, y0, x1, y1 = edges.T
    level = (np.abs(y1 - y0) < TIE_PX) & (np.abs(y0 - np.floor(y0) - 0.5) < TIE_PX)
    for left, row, right, _ in edges[level & (y0 >= 0) & (y0 < height)]:
        ties[int(row), max(0, int(min(left, right))) : max(0, int(max(left, right)) + 1)] = True
    first = np.clip(np.ceil(np.minimum(y0, y1) - 0.5), 0, height).astype(int)
    counts = np.clip(np.ceil(np.maximum(y0, y1) - 0.5), 0, height).astype(int) - first
    edge = np.repeat(np.arange(len(edges)), counts)
    rows = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
    x = x0[edge] + (rows + 0.5 - y0[edge]) * (x1 - x0)[edge] / (y1 - y0)[edge]
    columns = np.clip(np.ceil(x - 0.5), 0, width).astype(int)
    np.add.at(turns, (rows, columns), np.where(y1 > y0, 1, -1)[edge].astype(np.int8))
    close = np.abs(x - np.floor(x) - 0.5) < TIE_PX
    ties[rows[close], np.clip(np.floor(x[close]), 0, width).astype(int)] = True


def _leaves(
    elements: tuple[Element, ...], symbols: dict[str, tuple[Element, ...]], affine: Affine
) -> Iterator[tuple[Shape, Affine]]:
    for element in elements:
        if isinstance(element, Use):
            yield from _leaves(symbols[element.symbol], symbols, affine @ element.affine)
        elif isinstance(element, Shape):
            yield element, affine


def _areas(shape: Shape, affine: Affine) -> Iterator[tuple[Outline, Paint]]:
    """What a shape fills, then what it strokes."""
    if shape.fill is not None:
        filled = _filled(shape)
        yield replace(filled, points=affine.apply(filled.points)), shape.fill
    stroke = shape.stroke
    if stroke is not None and stroke.width_mm > 0:
        half = stroke.width_mm / 2.0 * abs(affine.determinant) ** 0.5
        cap, join = ("round", "round") if stroke.round else ("flat", "mitre")
        lines = MultiLineString(shape.path.transformed(affine).flattened(FLAT_MM))
        drawn = lines.buffer(half, cap_style=cap, join_style=join, quad_segs=32)
        parts = [part for part in get_parts(drawn) if not part.is_empty]
        rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
        yield _outline([get_coordinates(ring) for ring in rings], evenodd=True), stroke.paint


@lru_cache(maxsize=4096)
def _filled(shape: Shape) -> Outline:
    """What a shape fills, in its own frame: symbols are flattened once however often they stand."""
    return _outline(shape.path.flattened(FLAT_MM), evenodd=shape.path.rule is FillRule.EVENODD)


def _outline(rings: list[NDArray[np.float64]], *, evenodd: bool) -> Outline:
    counts = [len(ring) for ring in rings]
    starts = np.cumsum([0, *counts[:-1]], dtype=int)
    following = np.arange(sum(counts)) + 1
    following[starts + counts - 1] = starts
    return Outline(np.concatenate([np.empty((0, 2)), *rings]), following, evenodd)
