"""A drawing's own polygons, rasterised plate by plate as a press would print them.

Independent of the writers: painter's order on masks, a pixel is inside when its centre is.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from shapely import MultiLineString, get_parts
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from livery.drawing import Drawing, Element, Paint, Process, Registration, Shape, Spot, Use
from livery.geometry import Affine

Mask = NDArray[np.bool_]
_MM_PER_INCH = 25.4
PROCESS = ("Cyan", "Magenta", "Yellow", "Black")


def plates(drawing: Drawing, dpi: float, page: int = 0) -> dict[str, Mask]:
    """Where each spot and process ink prints on a page; labels are left out.

    Process inks overprint as DeviceCMYK does in overprint mode 1: amounts of nothing leave what
    lies beneath.

    Returns:
        A mask for each spot and each process ink, True where its plate has ink, tints included.
    """
    sheet = drawing.pages[page]
    shape = tuple(round(side / _MM_PER_INCH * dpi) for side in (sheet.height_mm, sheet.width_mm))
    symbols = {symbol.key: symbol.elements for symbol in drawing.symbols}
    painted: dict[str, Mask] = {}
    everywhere = np.zeros(shape, dtype=np.bool_)
    for layer in sheet.layers:
        for element, affine in _leaves(layer.elements, symbols, Affine()):
            for geometry, paint in _areas(element, affine):
                if (seen := _window(geometry, dpi, shape)) is None:
                    continue
                window, mask = seen
                inks = _inks(paint)
                for name in inks:
                    painted.setdefault(name, everywhere.copy())
                for name, plate in painted.items():
                    if isinstance(paint, Registration) or name in inks:
                        plate[window] |= mask
                    elif not element.overprint:
                        plate[window] &= ~mask
                if isinstance(paint, Registration):
                    everywhere[window] |= mask
    return painted


def _inks(paint: Paint) -> set[str]:
    """Names of the plates a paint puts ink on; not those it marks by being on every plate."""
    if isinstance(paint, Spot):
        return {paint.name}
    if isinstance(paint, Process):
        amounts = zip(PROCESS, (paint.c, paint.m, paint.y, paint.k), strict=True)
        return {name for name, amount in amounts if amount > 0.0}
    return set()


def _window(
    geometry: BaseGeometry, dpi: float, shape: tuple[int, ...]
) -> tuple[tuple[slice, slice], Mask] | None:
    """The part of the page that a polygon can touch, and its mask there."""
    if geometry.is_empty:
        return None
    scale, height, width = dpi / _MM_PER_INCH, shape[0], shape[1]
    x0, y0, x1, y1 = (side * scale for side in geometry.bounds)
    top, bottom = max(0, int(height - y1) - 1), min(height, int(height - y0) + 2)
    left, right = max(0, int(x0) - 1), min(width, int(x1) + 2)
    if top >= bottom or left >= right:
        return None
    moved = translate(geometry, -left / scale, -(height - bottom) / scale)
    window = (slice(top, bottom), slice(left, right))
    return window, raster(moved, dpi, (bottom - top, right - left))


def raster(geometry: BaseGeometry, dpi: float, shape: tuple[int, ...]) -> Mask:
    """A polygon's mask on a page of ``shape`` pixels, origin bottom-left in mm."""
    height, width = shape
    toggles = np.zeros((height, width + 1), dtype=np.int8)
    for part in get_parts(geometry):
        for ring in (part.exterior, *part.interiors):
            points = np.asarray(ring.coords)[:, :2] / _MM_PER_INCH * dpi
            points[:, 1] = height - points[:, 1]
            _toggle(toggles, points)
    return np.bitwise_and(np.cumsum(toggles, axis=1, dtype=np.int8)[:, :width], 1) == 1


def _toggle(toggles: NDArray[np.int8], points: NDArray[np.float64]) -> None:
    height, width = toggles.shape[0], toggles.shape[1] - 1
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if y0 == y1:
            continue
        low, high = (y0, y1) if y0 < y1 else (y1, y0)
        rows = np.arange(max(0, np.ceil(low - 0.5)), min(height, np.ceil(high - 0.5)), dtype=int)
        x = x0 + (rows + 0.5 - y0) * (x1 - x0) / (y1 - y0)
        columns = np.clip(np.ceil(x - 0.5), 0, width).astype(int)
        np.add.at(toggles, (rows, columns), 1)


def _leaves(
    elements: tuple[Element, ...], symbols: dict[str, tuple[Element, ...]], affine: Affine
) -> Iterator[tuple[Shape, Affine]]:
    for element in elements:
        if isinstance(element, Use):
            yield from _leaves(symbols[element.symbol], symbols, affine @ element.affine)
        elif isinstance(element, Shape):
            yield element, affine


def _areas(shape: Shape, affine: Affine) -> Iterator[tuple[BaseGeometry, Paint]]:
    if shape.fill is not None:
        yield shape.path.transformed(affine).polygon(0.0005), shape.fill
    stroke = shape.stroke
    if stroke is not None and stroke.width_mm > 0:
        lines = MultiLineString(shape.path.transformed(affine).flattened(0.0005))
        half = stroke.width_mm / 2.0 * abs(affine.determinant) ** 0.5
        cap, join = ("round", "round") if stroke.round else ("flat", "mitre")
        yield lines.buffer(half, cap_style=cap, join_style=join, quad_segs=32), stroke.paint
