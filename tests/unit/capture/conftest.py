"""A target laid on a table and photographed: small warps of its raster, for this room's tests."""

import cv2
import numpy as np
import pytest

from livery.capture.marker_dictionary import marker_modules
from livery.capture.markers import marker_corners_mm
from livery.colour import lab_to_xyz, xyz_to_srgb_linear

PX_PER_MM = 8


def raster_of(target, px_per_mm=PX_PER_MM):
    """The target in linear sRGB, shape (h, w, 3), white paper."""
    height, width = round(target.height_mm * px_per_mm), round(target.width_mm * px_per_mm)
    image = np.full((height, width, 3), 0.86)
    for patch in target.patches:
        x0, y0 = round(patch.x_mm * px_per_mm), round(patch.y_mm * px_per_mm)
        x1, y1 = x0 + round(patch.w_mm * px_per_mm), y0 + round(patch.h_mm * px_per_mm)
        image[y0:y1, x0:x1] = np.clip(xyz_to_srgb_linear(lab_to_xyz(patch.lab)), 0, 1)
    for marker in target.markers:
        side = round(marker.size_mm * px_per_mm)
        modules = marker_modules(marker.dictionary, marker.id).astype(np.uint8)
        black = cv2.resize(modules, (side, side), interpolation=cv2.INTER_NEAREST).astype(bool)
        x0, y0 = np.round(marker_corners_mm(marker)[0] * px_per_mm).astype(int)
        image[y0 : y0 + side, x0 : x0 + side][black] = 0.03
    return image


def view_of(target, size_px, tilt_deg=0.0, turn_deg=0.0, fill=0.75, azimuth_deg=0.0):
    """The homography from the target's mm to px of a pinhole camera looking at its middle."""
    width, height = size_px
    focal = 1.2 * max(size_px)
    turn, tilt, azimuth = np.radians([turn_deg, tilt_deg, azimuth_deg])
    about_z = cv2.Rodrigues(np.array([0.0, 0.0, turn]))[0]
    axis = np.array([np.cos(azimuth), np.sin(azimuth), 0.0]) * tilt
    rotation = cv2.Rodrigues(axis)[0] @ about_z
    across = np.abs(about_z[:2, :2]) @ (target.width_mm, target.height_mm)
    distance = focal * max(across[0] / width, across[1] / height) / fill
    centre = np.array([target.width_mm / 2, target.height_mm / 2])
    camera = np.array([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1.0]])
    pose = np.column_stack([rotation[:, 0], rotation[:, 1], [0, 0, distance]])
    shift = np.array([[1, 0, -centre[0]], [0, 1, -centre[1]], [0, 0, 1.0]])
    return camera @ pose @ shift


def expose(
    target, view, size_px, *, shade=0.0, glare=0.0, noise=0.0, gain=0.9, blur=0.6, raster=None
):
    """8-bit sRGB codes of the scene, and nothing but the target on a dim table."""
    image = (raster_of(target) if raster is None else raster).astype(np.float32)
    scale = image.shape[1] / target.width_mm
    to_mm = np.array([[1 / scale, 0, 0.5 / scale], [0, 1 / scale, 0.5 / scale], [0, 0, 1]])
    warped = cv2.warpPerspective(
        image, view @ to_mm, size_px, flags=cv2.INTER_AREA, borderValue=(0.2, 0.18, 0.15)
    )
    width, height = size_px
    across = np.linspace(-1, 1, width, dtype=np.float32)[None, :, None]
    down = np.linspace(-1, 1, height, dtype=np.float32)[:, None, None]
    light = 1.0 + shade / 2 * (0.8 * across + 0.6 * down)
    linear = warped * light * gain + glare
    if blur:
        linear = cv2.GaussianBlur(linear, (0, 0), blur)
    if noise:
        grain = np.random.default_rng(7).standard_normal(linear.shape, np.float32)
        linear = linear + grain * noise * np.sqrt(np.maximum(linear, 0.0))
    coded = np.where(
        linear <= 0.0031308, 12.92 * linear, 1.055 * np.maximum(linear, 1e-9) ** (1 / 2.4) - 0.055
    )
    return np.round(np.clip(coded, 0, 1) * 255).astype(np.uint8)


def write_png(path, codes):
    path.write_bytes(cv2.imencode(".png", codes[..., ::-1])[1].tobytes())
    return path


def write_jpeg(path, codes, quality=92):
    coded = cv2.imencode(".jpg", codes[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    path.write_bytes(coded.tobytes())
    return path


class Bench:
    """The helpers above, handed to tests as one fixture."""

    raster_of = staticmethod(raster_of)
    view_of = staticmethod(view_of)
    expose = staticmethod(expose)
    write_png = staticmethod(write_png)
    write_jpeg = staticmethod(write_jpeg)


@pytest.fixture(scope="session")
def bench():
    return Bench
