"""Taking the simulated photograph: the steps in order, from scene to file and truth."""

from __future__ import annotations

import numpy as np

from livery.colour import Floats
from livery.errors import ColourError
from livery.rehearsal.exposure import expose
from livery.rehearsal.model import Box, Camera, Image, Light, Photograph, Pose, Scene
from livery.rehearsal.optics import View, take_view
from livery.rehearsal.picture_file import store
from livery.rehearsal.raster import Raster, paint_scene
from livery.rehearsal.truth import find_truth

_MOST_RASTER_PX = 30_000_000  # workshop choice: 360 MB of canvas
_FINER = 1.1  # workshop choice: the canvas against the photograph at its middle
_BEYOND_MM = 2.0  # workshop choice: canvas beyond what the photograph's edge shows
_MAP_STEP = 8  # workshop choice: px between points where a bent view is reckoned


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
        ColourError: an unknown sensor or light, or a scene without a spectrum for each patch.
        LiveryError: the picture cannot be encoded.
    """
    camera, light, pose = camera or Camera(), light or Light(), pose or Pose()
    given, needed = len(scene.patches), len(scene.target.patches)
    if given != needed:
        raise ColourError(
            f"scene: {given} spectra for the {needed} patches of {scene.target.key}. "
            "Give one spectrum for each, in the target's order."
        )
    view = take_view(scene.frame_mm, camera, pose)
    box, scale = _canvas(scene, view, camera)
    raster = paint_scene(scene, box, scale, camera.sensor, light.illuminant, seed)
    image = _throw(raster, view, camera)
    del raster  # larger than the photograph
    codes = expose(image, view, light, camera, scene.frame_mm, seed)
    return Photograph(*store(codes, camera), find_truth(scene, view, (camera, light, pose), seed))


def _canvas(scene: Scene, view: View, camera: Camera) -> tuple[Box, float]:
    """What of the plane is painted, mm, and at how many px a mm.

    That is what is seen and a little beyond, to at most one frame's size around the frame.
    """
    x0, y0, x1, y1 = scene.frame_mm
    right, bottom = camera.width_px - 1.0, camera.height_px - 1.0
    across, along = np.linspace(0.0, right, 9), np.linspace(0.0, bottom, 9)
    edge = [
        *((x, y) for x in across for y in (0.0, bottom)),
        *((x, y) for y in along for x in (0.0, right)),
    ]
    seen = view.to_mm(np.array(edge))
    low = np.maximum(seen.min(axis=0) - _BEYOND_MM, [2 * x0 - x1, 2 * y0 - y1])
    high = np.minimum(seen.max(axis=0) + _BEYOND_MM, [2 * x1 - x0, 2 * y1 - y0])
    scale = _FINER * view.scale_at(np.array([(x0 + x1) / 2, (y0 + y1) / 2]))
    area = float(np.prod(np.maximum(high - low, 1.0)))
    scale = min(scale, float(np.sqrt(_MOST_RASTER_PX / area)))
    return (float(low[0]), float(low[1]), float(high[0]), float(high[1])), scale


def _throw(raster: Raster, view: View, camera: Camera) -> Image:
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
    x, y = _pixel_map(view, s, to_canvas[:2, 2], size)
    image = cv2.remap(raster.pixels, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(image, dtype=np.float32)


def _pixel_map(
    view: View, scale: float, offset: Floats, size: tuple[int, int]
) -> tuple[Image, Image]:
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
