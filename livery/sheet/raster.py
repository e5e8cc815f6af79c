"""Where a shape may stand, found on a fine grid and then decided by exact geometry.

Positions are whole cells, so a result does not depend on how a machine rounds.

Source: [source: nesting-raster].
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from livery.geometry import Area

Mask = NDArray[np.bool_]
Spectrum = NDArray[np.complexfloating]

_SAFETY_CELLS = 0.35
_OVERLAP_MM2 = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """A silhouette at one turn, moved so that its box starts at the origin.

    Attributes:
        turn_deg: counter-clockwise, about the silhouette's own origin.
        area: mm, lower left of its box at (0, 0).
        shift_mm: what was added to the turned silhouette to bring it there.
        mask: cells it may touch; row 0 lowest.
        spectra: transforms of the mask by size, kept from one sheet to the next.
    """

    turn_deg: float
    area: Area
    shift_mm: tuple[float, float]
    mask: Mask
    spectra: dict[tuple[int, int], Spectrum] = field(default_factory=dict)

    def spectrum(self, size: tuple[int, int]) -> Spectrum:
        """The conjugate transform of the mask."""
        if size not in self.spectra:
            self.spectra[size] = _kernel(self.mask, size)
        return self.spectra[size]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of its box."""
        _, _, width, height = self.area.bounds
        return width, height


@cache
def _fourier() -> Any:
    from scipy import fft  # type: ignore[import-untyped] # has no types

    return fft


def turn_area(area: Area, turn_deg: float, cell_mm: float) -> Turned:
    """Turn a silhouette and lay it on the grid."""
    turned = shapely.affinity.rotate(area, turn_deg, origin=(0, 0)) if turn_deg else area
    x0, y0, _, _ = turned.bounds
    moved = shapely.affinity.translate(turned, -x0, -y0)
    return Turned(turn_deg, moved, (-x0, -y0), cover_mask(moved, cell_mm))


def cover_mask(area: Area, cell_mm: float) -> Mask:
    """Cells whose middle lies in the area or within a third of a cell of it.

    The area must lie right of and above the origin, where the grid starts. A third of a cell
    catches nearly every touch; exact geometry decides the rest.

    Source: [source: workshop-choice].
    """
    _, _, width, height = area.bounds
    columns = max(1, math.ceil(width / cell_mm - 1e-9))
    rows = max(1, math.ceil(height / cell_mm - 1e-9))
    grown = area.buffer(_SAFETY_CELLS * cell_mm, quad_segs=2)
    shapely.prepare(grown)
    x = (np.arange(columns) + 0.5) * cell_mm
    y = (np.arange(rows) + 0.5) * cell_mm
    inside: Mask = shapely.contains_xy(grown, x[None, :], y[:, None])
    return inside


def blocked_by(ground: Mask, mask: Mask) -> Mask:
    """Positions at which ``mask`` would touch an occupied cell of ``ground``.

    Args:
        ground: shape (rows, columns), true where occupied.
        mask: shape (h, w), no larger than the ground.

    Returns:
        shape (rows - h + 1, columns - w + 1).
    """
    rows, columns = ground.shape
    height, width = mask.shape
    if not ground.any():
        return np.zeros((rows - height + 1, columns - width + 1), dtype=bool)
    size = _transform_size(ground)
    spectrum = _fourier().rfft2(ground.astype(np.float32), size)
    return _correlate(spectrum, _kernel(mask, size), size, (rows - height + 1, columns - width + 1))


def _transform_size(ground: Mask) -> tuple[int, int]:
    rows, columns = ground.shape
    following = _fourier().next_fast_len
    return following(rows, True), following(columns, True)


def _kernel(mask: Mask, size: tuple[int, int]) -> Spectrum:
    return np.asarray(np.conj(_fourier().rfft2(mask.astype(np.float32), size)))


def _correlate(
    spectrum: Spectrum, kernel: Spectrum, size: tuple[int, int], kept: tuple[int, int]
) -> Mask:
    """Where the count of cells in common is not none."""
    counts = _fourier().irfft2(spectrum * kernel, size)
    return np.asarray(counts[: kept[0], : kept[1]] > 0.5)


def stamp_of(placed: Mask, mask: Mask) -> tuple[Mask, tuple[int, int]]:
    """Relative positions at which ``mask`` would touch ``placed``.

    Returns:
        The stamp and the (row, column) offset of its first cell from the placed one's position.
    """
    height, width = mask.shape
    ground = np.pad(placed, ((height - 1, height - 1), (width - 1, width - 1)))
    return blocked_by(ground, mask), (1 - height, 1 - width)


def press(blocked: Mask, stamp: Mask, row: int, column: int) -> None:
    """Add a stamp to a map of blocked positions, clipped to it, in place."""
    rows, columns = blocked.shape
    top, left = max(row, 0), max(column, 0)
    bottom, right = min(row + stamp.shape[0], rows), min(column + stamp.shape[1], columns)
    if bottom > top and right > left:
        part = stamp[top - row : bottom - row, left - column : right - column]
        blocked[top:bottom, left:right] |= part


@dataclass(slots=True, eq=False)
class Ground:
    """One sheet's usable area while it is being filled.

    Attributes:
        width_mm, height_mm: of the area in which silhouettes must lie.
        taken: cells in use.
        areas: exact silhouettes laid so far.
        spectrum: transform of ``taken`` until the next silhouette is laid.
    """

    width_mm: float
    height_mm: float
    cell_mm: float
    taken: Mask = field(init=False)
    areas: list[Area] = field(default_factory=list)
    free_mm2: float = field(init=False)
    spectrum: Spectrum | None = None

    def __post_init__(self) -> None:
        rows = math.floor(self.height_mm / self.cell_mm + 1e-9)
        columns = math.floor(self.width_mm / self.cell_mm + 1e-9)
        self.taken = np.zeros((rows, columns), dtype=bool)
        self.free_mm2 = self.width_mm * self.height_mm

    def copy(self) -> Ground:
        """The same, to be filled apart."""
        other = Ground(self.width_mm, self.height_mm, self.cell_mm)
        other.taken[:] = self.taken
        other.areas += self.areas
        other.free_mm2 = self.free_mm2
        return other

    def positions(self, turned: Turned) -> Mask | None:
        """Blocked positions of a silhouette, or None when it is larger than the area."""
        rows, columns = self.taken.shape
        height, width = turned.mask.shape
        if height > rows or width > columns:
            return None
        kept = (rows - height + 1, columns - width + 1)
        if not self.areas:
            return np.zeros(kept, dtype=bool)
        size = _transform_size(self.taken)
        if self.spectrum is None:
            self.spectrum = _fourier().rfft2(self.taken.astype(np.float32), size)
        return _correlate(self.spectrum, turned.spectrum(size), size, kept)

    def clear(self, area: Area) -> bool:
        """Whether a silhouette overlaps none laid so far."""
        if not self.areas:
            return True
        tree = shapely.STRtree(self.areas)
        near = tree.query(area, predicate="intersects")
        return all(self.areas[i].intersection(area).area <= _OVERLAP_MM2 for i in near)

    def lay(self, turned: Turned, row: int, column: int) -> tuple[float, float]:
        """Occupy cells; returns where the silhouette's box starts, mm."""
        height, width = turned.mask.shape
        self.taken[row : row + height, column : column + width] |= turned.mask
        x, y = column * self.cell_mm, row * self.cell_mm
        self.areas.append(shapely.affinity.translate(turned.area, x, y))
        self.spectrum = None
        self.free_mm2 -= turned.area.area
        return x, y

    def lay_exactly(self, area: Area) -> None:
        """Occupy the cells of a silhouette that stands at no whole cell."""
        x0, y0, _, _ = area.bounds
        column, row = math.floor(x0 / self.cell_mm), math.floor(y0 / self.cell_mm)
        column, row = max(column, 0), max(row, 0)
        x, y = column * self.cell_mm, row * self.cell_mm
        mask = cover_mask(shapely.affinity.translate(area, -x, -y), self.cell_mm)
        window = self.taken[row : row + mask.shape[0], column : column + mask.shape[1]]
        window |= mask[: window.shape[0], : window.shape[1]]
        self.areas.append(area)
        self.spectrum = None
        self.free_mm2 -= area.area
