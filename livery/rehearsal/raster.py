"""The scene painted flat: an array of balanced raw camera light, linear, at a scale in px/mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from livery.capture.marker_dictionary import marker_modules
from livery.capture.model import Marker
from livery.colour import Floats
from livery.rehearsal.model import Box, Image, Material, Scene, SceneRegion
from livery.rehearsal.sensor import camera_rgb
from livery.rehearsal.texture import texture

_FINE, _HALF_AS_FINE = 4, 2  # workshop choice: samples a side of a px where polygons are filled
_BAND = 64  # workshop choice: rows painted at a time
_BENCH_MM = 0.8  # workshop choice: its grain is drawn in steps of this
_LARGE_PX = 4_000_000  # workshop choice: area beyond which half as fine will do


@dataclass(slots=True, eq=False)
class Raster:
    """A canvas in mm: a column covers x0 + column/scale to x0 + (column + 1)/scale, a row likewise.

    Attributes:
        pixels: balanced raw light, a perfect white 1, shape (height, width, 3); painted upon.
        x0_mm, y0_mm: its top-left corner in the target's frame.
        px_per_mm: its scale.
    """

    pixels: Image
    x0_mm: float
    y0_mm: float
    px_per_mm: float

    def paint_box(self, box_mm: Box, rgb: Floats) -> None:
        """Paint an upright rectangle, its edges by exact coverage."""
        x0, x1 = (self.px_per_mm * (v - self.x0_mm) for v in (box_mm[0], box_mm[2]))
        y0, y1 = (self.px_per_mm * (v - self.y0_mm) for v in (box_mm[1], box_mm[3]))
        columns, across = _coverage(x0, x1, self.pixels.shape[1])
        rows, along = _coverage(y0, y1, self.pixels.shape[0])
        area = self.pixels[rows, columns]
        cover = (along[:, None] * across[None])[..., None]
        area += cover * (rgb.astype(np.float32) - area)

    def paint_rings(
        self,
        rings_mm: tuple[Floats, ...],
        rgb: Floats,
        material: Material,
        generator: np.random.Generator,
    ) -> None:
        """Paint what lies inside an odd number of rings, with the material's texture."""
        offset = np.array([self.x0_mm, self.y0_mm])
        rings = [(ring - offset) * self.px_per_mm for ring in rings_mm]
        points = np.concatenate(rings)
        low = np.maximum(np.floor(points.min(axis=0)).astype(int) - 1, 0)
        limit = np.array(self.pixels.shape[1::-1])
        high = np.minimum(np.ceil(points.max(axis=0)).astype(int) + 1, limit)
        width, height = (int(length) for length in high - low)
        if width <= 0 or height <= 0:
            return
        share = _shares([ring - low for ring in rings], width, height)
        field = texture(material, (height, width), self.px_per_mm, generator)
        if field.size > 1:
            field /= float(np.vdot(field, share)) / max(float(share.sum()), 1e-9)
        field = np.broadcast_to(field, share.shape)
        light = rgb.astype(np.float32)
        area = self.pixels[low[1] : high[1], low[0] : high[0]]
        for row in range(0, height, _BAND):
            band = slice(row, row + _BAND)
            area[band] += share[band, :, None] * (field[band, :, None] * light - area[band])


def _shares(rings: list[Floats], width: int, height: int) -> Image:
    """How much of each px lies inside an odd number of rings, shape (height, width)."""
    import cv2

    fine = _FINE if width * height <= _LARGE_PX else _HALF_AS_FINE
    corners = [np.rint((ring * fine - 0.5) * 256).astype(np.int32) for ring in rings]
    shares = np.empty((height, width), dtype=np.float32)
    for row in range(0, height, _BAND):
        part = shares[row : row + _BAND]
        mask = np.zeros((len(part) * fine, width * fine), dtype=np.uint8)
        above = np.array([0, row * fine * 256], dtype=np.int32)
        cv2.fillPoly(mask, [ring - above for ring in corners], 255, lineType=cv2.LINE_8, shift=8)
        part[:] = cv2.resize(mask, (width, len(part)), interpolation=cv2.INTER_AREA)
    shares /= 255.0
    return shares


def _coverage(start: float, stop: float, count: int) -> tuple[slice, Image]:
    """The cells from ``start`` to ``stop`` and the share of each that is covered."""
    first, last = max(int(np.floor(start)), 0), min(int(np.ceil(stop)), count)
    cells = np.arange(first, max(first, last), dtype=np.float64)
    share = np.minimum(cells + 1.0, stop) - np.maximum(cells, start)
    return slice(first, first + cells.size), np.clip(share, 0.0, 1.0).astype(np.float32)


def paint_scene(
    scene: Scene,
    box_mm: Box,
    px_per_mm: float,
    sensor: str,
    light: str,
    seed: int,
) -> Raster:
    """Paint all that lies in a box.

    Args:
        scene: what is there.
        box_mm: the canvas.
        px_per_mm: its scale.
        sensor: key of packaged spectral sensitivities.
        light: name of a packaged illuminant.
        seed: of the textures.

    Raises:
        ColourError: an unknown sensor or light.
    """
    x0, y0, x1, y1 = box_mm
    shape = (max(1, round((y1 - y0) * px_per_mm)), max(1, round((x1 - x0) * px_per_mm)))
    bench, paper, black = camera_rgb((scene.bench, scene.paper, scene.black), sensor, light)
    raster = Raster(_bench(shape, px_per_mm, bench, seed), x0, y0, px_per_mm)
    _paint_regions(raster, scene.under, sensor, light, seed, first=1)
    _paint_target(raster, scene, (paper, black), sensor, light)
    _paint_regions(raster, scene.over, sensor, light, seed, first=1 + len(scene.under))
    return raster


def _bench(shape: tuple[int, int], px_per_mm: float, rgb: Floats, seed: int) -> Image:
    """Wide grain, made small and enlarged: a bench fills whole pictures."""
    import cv2

    step = max(1, int(px_per_mm * _BENCH_MM))
    small = (shape[0] // step + 2, shape[1] // step + 2)
    generator = np.random.default_rng([seed, 0])
    field = texture(Material.BENCH, small, px_per_mm / step, generator)
    painted = field[..., None] * rgb.astype(np.float32)
    return np.asarray(cv2.resize(painted, (shape[1], shape[0])), dtype=np.float32)


def _paint_regions(
    raster: Raster,
    regions: tuple[SceneRegion, ...],
    sensor: str,
    light: str,
    seed: int,
    first: int,
) -> None:
    """Paint regions in order, each textured by its place among all, from ``first``."""
    colours = camera_rgb(tuple(region.spectrum for region in regions), sensor, light)
    for index, (region, rgb) in enumerate(zip(regions, colours, strict=True), start=first):
        if region.painted:
            generator = np.random.default_rng([seed, index])
            raster.paint_rings(region.rings_mm, rgb, region.material, generator)


def _paint_target(
    raster: Raster, scene: Scene, inks: tuple[Floats, Floats], sensor: str, light: str
) -> None:
    """Paint the target's paper, patches and markers; ``inks``: light of its paper and black."""
    paper, black = inks
    target = scene.target
    for sheet in _sheet(target.width_mm, target.height_mm, scene.window_mm):
        raster.paint_box(sheet, paper)
    colours = camera_rgb(scene.patches, sensor, light)
    for patch, rgb in zip(target.patches, colours, strict=True):
        box = (patch.x_mm, patch.y_mm, patch.x_mm + patch.w_mm, patch.y_mm + patch.h_mm)
        raster.paint_box(box, rgb)
    for marker in target.markers:
        _paint_marker(raster, marker, paper, black)


def _sheet(width: float, height: float, window: Box | None) -> tuple[Box, ...]:
    """The target's paper as boxes: one, or the four about a window."""
    if window is None:
        return ((0.0, 0.0, width, height),)
    x0, y0, x1, y1 = window
    above, below = (0.0, 0.0, width, y0), (0.0, y1, width, height)
    return (above, below, (0.0, y0, x0, y1), (x1, y0, width, y1))


def _paint_marker(raster: Raster, marker: Marker, paper: Floats, black: Floats) -> None:
    """A black square, its white modules painted upon it."""
    white = ~marker_modules(marker.dictionary, marker.id)
    left, top = marker.x_mm - marker.size_mm / 2, marker.y_mm - marker.size_mm / 2
    raster.paint_box((left, top, left + marker.size_mm, top + marker.size_mm), black)
    module = marker.size_mm / len(white)
    for row, column in zip(*np.nonzero(white), strict=True):
        x, y = left + column * module, top + row * module
        raster.paint_box((x, y, x + module, y + module), paper)
