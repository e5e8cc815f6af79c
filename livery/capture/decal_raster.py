"""A decal as pixels: how much each holds of each ink, of bare film, of what lies round."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from livery.artwork.cutting import cut_regions
from livery.artwork.model import Decal
from livery.capture.rectified import Image
from livery.colour import Floats
from livery.drawing import LabColour
from livery.geometry import Affine, Area

# Every figure: [source: workshop-choice]
_FILM_LAB: LabColour = (94.0, 0.0, -1.0)  # white film without ink, D50/2°
_MARGIN_MM = 4.0  # of what lies round it
_FINE = 4  # samples a side of a pixel
_CHORD_MM = 0.02  # of outlines, from their curves: a fraction of a sample


@dataclass(frozen=True, slots=True, eq=False)
class DecalRaster:
    """A decal at its nominal size, in its own frame.

    Attributes:
        cover: share of each pixel that each colour covers, shape (height, width, colours): first
            what lies round the decal, then film without ink, then the inks.
        aims: Lab of each colour, D50/2°, shape (colours, 3); the first is for ``with_surround``.
        inside: share of each pixel inside the cut, shape (height, width).
        to_px: the decal's frame, mm, to pixels whose centres are at whole numbers.
    """

    cover: Image
    aims: Floats
    inside: Image
    to_px: Affine

    @property
    def px_per_mm(self) -> float:
        """Its scale."""
        return self.to_px.a

    def places_mm(self) -> tuple[Floats, Floats]:
        """X and y of every pixel's centre in the decal's frame, each (height, width)."""
        rows, columns = np.mgrid[0 : self.inside.shape[0], 0 : self.inside.shape[1]]
        x = (columns - self.to_px.e) / self.px_per_mm
        y = (rows - self.to_px.f) / self.px_per_mm
        return x.astype(np.float64), y.astype(np.float64)

    def with_surround(self, lab: Floats) -> Floats:
        """The aims, with the surround's Lab, shape (3,), in its place."""
        return np.concatenate([lab[None], self.aims[1:]])


def raster_of(decal: Decal, colours: dict[str, LabColour], px_per_mm: float) -> DecalRaster:
    """A decal as pixels.

    Args:
        decal: the artwork.
        colours: Lab of each ink, D50/2°, by its key.
        px_per_mm: scale at nominal size.
    """
    import cv2

    x0, y0, x1, y1 = decal.outline.bounds()
    width = int(np.ceil((x1 - x0 + 2 * _MARGIN_MM) * px_per_mm))
    height = int(np.ceil((y1 - y0 + 2 * _MARGIN_MM) * px_per_mm))
    left, top = (x0 + x1) / 2 - width / px_per_mm / 2, (y0 + y1) / 2 - height / px_per_mm / 2
    to_px = Affine(px_per_mm, 0.0, 0.0, px_per_mm, -px_per_mm * left - 0.5, -px_per_mm * top - 0.5)
    label = np.zeros((height * _FINE, width * _FINE), np.uint8)
    _fill(label, decal.outline.polygon(_CHORD_MM), to_px, 1)
    inside = (label > 0).astype(np.float32)
    for region in cut_regions(decal):
        _fill(label, region.path.polygon(_CHORD_MM), to_px, 2 + decal.inks.index(region.ink))
    cover = [
        cv2.resize((label == n).astype(np.float32), (width, height), interpolation=cv2.INTER_AREA)
        for n in range(2 + len(decal.inks))
    ]
    within = cv2.resize(inside, (width, height), interpolation=cv2.INTER_AREA)
    aims = np.array([_FILM_LAB, _FILM_LAB, *(colours[ink] for ink in decal.inks)], np.float64)
    return DecalRaster(np.stack(cover, axis=-1).astype(np.float32), aims, np.asarray(within), to_px)


def _fill(label: NDArray[np.uint8], area: Area, to_px: Affine, value: int) -> None:
    """Paint an area, in the decal's mm, with a number; holes are left as they are."""
    import cv2

    parts = [area] if isinstance(area, Polygon) else list(area.geoms)
    rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
    points = [to_px.apply(np.asarray(ring.coords)[:, :2]) for ring in rings if not ring.is_empty]
    if points:
        fine = [np.rint(((p + 0.5) * _FINE - 0.5) * 256).astype(np.int32) for p in points]
        cv2.fillPoly(label, fine, value, lineType=cv2.LINE_8, shift=8)
