"""Light on the sensor to codes: uneven light, reflections, veil, noise, matrix, tone curve."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from livery.colour import Floats, encode_srgb
from livery.rehearsal.model import Box, Camera, Encoding, Image, Light
from livery.rehearsal.optics import View
from livery.rehearsal.sensor import colour_matrix

Codes = NDArray[np.uint8] | NDArray[np.uint16]
_STEP = 16  # workshop choice: px between points where the smooth light field is reckoned
_BAND = 128  # workshop choice: rows finished at a time
_LEVELS = 16384  # workshop choice: steps of linear light in the encoding table
_DARKEST = 0.02  # workshop choice: level that no fall of light goes below


def light_level(points_mm: Floats, light: Light, frame_mm: Box) -> Floats:
    """Level of the light, 1 where neither fall dims it.

    Args:
        points_mm: of the plane, shape (n, 2).
        light: how it falls.
        frame_mm: over which it falls.

    Returns:
        Shape (n,).
    """
    x0, y0, x1, y1 = frame_mm
    half = np.hypot(x1 - x0, y1 - y0) / 2.0
    place = (points_mm - np.array([(x0 + x1) / 2.0, (y0 + y1) / 2.0])) / half
    angle = np.radians(light.direction_deg)
    along = place @ np.array([np.cos(angle), -np.sin(angle)])
    fall = light.uneven * (0.5 + 0.5 * along) + light.falloff * (place * place).sum(axis=1)
    level: Floats = np.maximum(1.0 - fall, _DARKEST)
    return level


def _reflected(points_mm: Floats, light: Light) -> Floats:
    """White light that lamps' reflections add at points of the plane, shape (n,)."""
    added = np.zeros(len(points_mm))
    for spot in light.spots:
        away = points_mm - np.array([spot.x_mm, spot.y_mm])
        added += spot.strength * np.exp(-(away * away).sum(axis=1) / (2.0 * spot.radius_mm**2))
    return added


def expose(
    image: Image, view: View, light: Light, camera: Camera, frame_mm: Box, seed: int
) -> Codes:
    """What the camera makes of the light that falls on its sensor.

    Args:
        image: balanced raw light, a perfect white 1, shape (height, width, 3); used up.
        view: where each pixel lies on the plane.
        light: its unevenness and reflections.
        camera: exposure, veil, blur, noise, encoding.
        frame_mm: over which the light falls off.
        seed: of the noise.

    Returns:
        Codes, red first, shape (height, width, 3): 8-bit sRGB, or 16-bit linear.

    Source:
        emva-1288
    """
    import cv2

    if camera.defocus_px > 0.0:
        image = np.asarray(cv2.GaussianBlur(image, (0, 0), camera.defocus_px), dtype=np.float32)
    level, reflected = _fields(image.shape[:2], view, light, frame_mm)
    image *= level[..., None]
    if light.spots:
        image += reflected[..., None]
    veil = camera.veil * np.array(cv2.mean(image)[:3])
    exposed = camera.exposure * np.column_stack([(1.0 - camera.veil) * np.eye(3), veil])
    matrix = colour_matrix(camera.sensor) * camera.balance
    generator = np.random.default_rng([seed, 1])
    linear = camera.encoding is Encoding.LINEAR
    codes: Codes = np.empty(image.shape, dtype=np.uint16 if linear else np.uint8)
    for row in range(0, image.shape[0], _BAND):
        band = slice(row, row + _BAND)
        lit = np.asarray(cv2.transform(image[band], exposed), dtype=np.float32)
        codes[band] = _finish(lit, matrix, camera, generator)
    return codes


def _fields(shape: tuple[int, ...], view: View, light: Light, frame_mm: Box) -> tuple[Image, Image]:
    """Light level and reflected light over the photograph, from a coarse grid."""
    import cv2

    height, width = shape
    rows, columns = -(-height // _STEP), -(-width // _STEP)
    x = (np.arange(columns) + 0.5) * width / columns - 0.5
    y = (np.arange(rows) + 0.5) * height / rows - 0.5
    points = view.to_mm(np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2))
    coarse = light_level(points, light, frame_mm).reshape(rows, columns)
    added = _reflected(points, light).reshape(rows, columns)
    level, reflected = (
        np.asarray(cv2.resize(field.astype(np.float32), (width, height)), dtype=np.float32)
        for field in (coarse, added)
    )
    return level, reflected


def _finish(light: Image, matrix: Floats, camera: Camera, generator: np.random.Generator) -> Codes:
    """Codes of exposed light, shape (rows, width, 3): noise added, clipped, matrixed, encoded."""
    import cv2

    noise = generator.standard_normal(light.shape, dtype=np.float32)
    spread = np.maximum(light, 0.0)
    spread *= 1.0 / camera.full_well
    spread += (camera.read_noise / camera.full_well) ** 2
    np.sqrt(spread, out=spread)
    noise *= spread
    light += noise
    np.clip(light, 0.0, 1.0, out=light)
    linear = np.asarray(cv2.transform(light, matrix), dtype=np.float32)
    np.clip(linear, 0.0, 1.0, out=linear)
    if camera.encoding is Encoding.LINEAR:
        return np.asarray(np.rint(linear * 65535.0), dtype=np.uint16)
    linear *= _LEVELS - 1
    linear += 0.5
    return np.take(_encoding_table(), linear.astype(np.uint16))


@cache
def _encoding_table() -> NDArray[np.uint8]:
    """The sRGB code of each step of linear light, shape (_LEVELS,)."""
    codes = encode_srgb(np.linspace(0.0, 1.0, _LEVELS))
    return np.rint(codes * 255.0).astype(np.uint8)
