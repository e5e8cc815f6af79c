"""Taking the simulated photograph."""

from __future__ import annotations

from dataclasses import fields
from enum import Enum

import numpy as np

from livery.colour import spectrum_to_lab
from livery.errors import ColourError
from livery.rehearsal.exposure import expose, light_level, store
from livery.rehearsal.model import (
    Camera,
    Encoding,
    Floats,
    Light,
    Photograph,
    Pose,
    Scene,
    SceneRegion,
    TrueRegion,
    Truth,
)
from livery.rehearsal.optics import View, take_view
from livery.rehearsal.raster import Image, Raster, paint_scene
from livery.scheme.model import Spectrum

_MOST_RASTER_PX = 30_000_000  # workshop choice: 360 MB of canvas
_FINER = 1.1  # workshop choice: the canvas against the photograph at its middle
_MAP_STEP = 8  # workshop choice: px between points where a bent view is reckoned
_PATCH_ITEM = "target"


def render(
    scene: Scene,
    camera: Camera | None = None,
    light: Light | None = None,
    pose: Pose | None = None,
    seed: int = 0,
) -> Photograph:
    """Simulate a photograph of the scene.

    Args:
        scene: what is there.
        camera: None is the plain case, twelve megapixels.
        light: None is even D50.
        pose: None is upright.
        seed: of texture and noise; the same arguments give the same bytes.

    Returns:
        The file's bytes and what is true of it.

    Raises:
        ColourError: an unknown sensor or light, or a target that asks for more than its scene has.
    """
    camera, light, pose = camera or Camera(), light or Light(), pose or Pose()
    if len(scene.patches) != len(scene.target.patches):
        raise ColourError("scene: one spectrum is needed for each of the target's patches.")
    view = take_view(scene.frame_mm, camera, pose)
    box, scale = _canvas(scene, view, camera)
    raster = paint_scene(scene, box, scale, camera.sensor, light.illuminant, seed)
    image = _project(raster, view, camera)
    del raster  # larger than the photograph
    codes = expose(image, view, light, camera, scene.frame_mm, seed)
    suffix = ".jpg" if camera.encoding is Encoding.JPEG else ".png"
    return Photograph(
        store(codes, camera), suffix, _truth(scene, view, (camera, light, pose), seed)
    )


def _canvas(
    scene: Scene, view: View, camera: Camera
) -> tuple[tuple[float, float, float, float], float]:
    """What of the plane is seen, to at most one frame's size around the frame, and its scale."""
    x0, y0, x1, y1 = scene.frame_mm
    right, bottom = camera.width_px - 1.0, camera.height_px - 1.0
    across, along = np.linspace(0.0, right, 9), np.linspace(0.0, bottom, 9)
    edge = [
        *((x, y) for x in across for y in (0.0, bottom)),
        *((x, y) for y in along for x in (0.0, right)),
    ]
    seen = view.to_mm(np.array(edge))
    low = np.maximum(seen.min(axis=0) - 2.0, [2 * x0 - x1, 2 * y0 - y1])
    high = np.minimum(seen.max(axis=0) + 2.0, [2 * x1 - x0, 2 * y1 - y0])
    scale = _FINER * view.scale_at(np.array([(x0 + x1) / 2, (y0 + y1) / 2]))
    area = float(np.prod(np.maximum(high - low, 1.0)))
    scale = min(scale, float(np.sqrt(_MOST_RASTER_PX / area)))
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1])), scale


def _project(raster: Raster, view: View, camera: Camera) -> Image:
    """The canvas as the lens throws it on the sensor, shape (height, width, 3)."""
    import cv2

    size = (camera.width_px, camera.height_px)
    s = raster.px_per_mm
    to_canvas = np.array(
        [[s, 0.0, -s * raster.x0_mm - 0.5], [0.0, s, -s * raster.y0_mm - 0.5], [0.0, 0.0, 1.0]]
    )
    if view.distortion == 0.0:
        matrix = to_canvas @ np.linalg.inv(view.homography)
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        image = cv2.warpPerspective(
            raster.pixels, matrix, size, flags=flags, borderMode=cv2.BORDER_REPLICATE
        )
        return np.asarray(image, dtype=np.float32)
    x, y = _map(view, s, to_canvas[:2, 2], size)
    image = cv2.remap(raster.pixels, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(image, dtype=np.float32)


def _map(view: View, scale: float, offset: Floats, size: tuple[int, int]) -> tuple[Image, Image]:
    """Where on the canvas each pixel looks: x and y, each of shape (height, width).

    Reckoned every ``_MAP_STEP`` px, one step beyond the edges, and straight between: the lens
    bends a line by less than a thousandth of a px in that length.
    """
    import cv2

    columns, rows = (-(-length // _MAP_STEP) + 2 for length in size)
    x = (np.arange(columns) - 0.5) * _MAP_STEP - 0.5
    y = (np.arange(rows) - 0.5) * _MAP_STEP - 0.5
    points = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    coarse = (view.to_mm(points) * scale + offset).reshape(rows, columns, 2)
    full = (columns * _MAP_STEP, rows * _MAP_STEP)
    fine = cv2.resize(coarse.astype(np.float32), full, interpolation=cv2.INTER_LINEAR)
    inner = fine[_MAP_STEP : _MAP_STEP + size[1], _MAP_STEP : _MAP_STEP + size[0]]
    x_px, y_px = (np.ascontiguousarray(inner[..., i], dtype=np.float32) for i in (0, 1))
    return x_px, y_px


def _truth(scene: Scene, view: View, settings: tuple[Camera, Light, Pose], seed: int) -> Truth:
    target = scene.target
    width, height = target.width_mm, target.height_mm
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    grid = np.stack(np.meshgrid(np.linspace(0, width, 21), np.linspace(0, height, 21)), axis=-1)
    level = light_level(grid.reshape(-1, 2), settings[1], scene.frame_mm)
    patches = tuple(
        _true_patch((p.x_mm, p.y_mm, p.w_mm, p.h_mm), p.name, spectrum, view)
        for p, spectrum in zip(target.patches, scene.patches, strict=True)
    )
    return Truth(
        tuple(_true_region(region, view) for region in scene.regions),
        patches,
        view.to_px(corners),
        float(level.min() / level.max()),
        view.scale_at(np.array([width / 2, height / 2])),
        (*(pair for value in settings for pair in _listed(value)), ("seed", str(seed))),
    )


def _listed(value: Camera | Light | Pose) -> list[tuple[str, str]]:
    named = ((f.name, getattr(value, f.name)) for f in fields(value))
    return [(name, v.name.lower() if isinstance(v, Enum) else str(v)) for name, v in named]


def _true_region(region: SceneRegion, view: View) -> TrueRegion:
    return TrueRegion(
        region.name,
        region.ink,
        region.item,
        region.material.value,
        _lab(region.spectrum),
        region.rings_mm,
        tuple(view.to_px(ring) for ring in region.rings_mm),
    )


def _true_patch(
    box: tuple[float, float, float, float], name: str, spectrum: Spectrum, view: View
) -> TrueRegion:
    x, y, w, h = box
    ring: Floats = np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]], dtype=np.float64)
    return TrueRegion(name, "", _PATCH_ITEM, "smooth", _lab(spectrum), (ring,), (view.to_px(ring),))


def _lab(spectrum: Spectrum) -> tuple[float, float, float]:
    lab = spectrum_to_lab(spectrum.wavelengths_nm, spectrum.reflectance, "D50")
    return float(lab[0]), float(lab[1]), float(lab[2])
