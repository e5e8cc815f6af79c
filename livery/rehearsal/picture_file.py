"""The photograph's file: encoded, and turned as the camera was held with EXIF to say so."""

from __future__ import annotations

import numpy as np

from livery.errors import LiveryError
from livery.rehearsal.exposure import Codes
from livery.rehearsal.model import Camera, Encoding, Orientation

_QUARTERS = {
    Orientation.UPRIGHT: 0,
    Orientation.CLOCKWISE: 1,
    Orientation.HALF_TURN: 2,
    Orientation.ANTICLOCKWISE: 3,
}  # quarter turns counter-clockwise, from upright to as stored


def store(codes: Codes, camera: Camera) -> tuple[bytes, str]:
    """Encode a photograph.

    Args:
        codes: the upright picture, red first, shape (height, width, 3).
        camera: encoding, quality and orientation.

    Returns:
        The file's bytes and its suffix: ``.jpg``, or ``.png``, which carries no EXIF.

    Raises:
        LiveryError: the picture cannot be encoded.

    Source:
        exif-2-3
    """
    import cv2

    turned = np.rot90(codes, _QUARTERS[camera.orientation])
    jpeg = camera.encoding is Encoding.JPEG
    suffix = ".jpg" if jpeg else ".png"
    options = [cv2.IMWRITE_JPEG_QUALITY, camera.quality] if jpeg else []
    ok, data = cv2.imencode(suffix, turned[..., ::-1], options)
    if not ok:
        size = f"{camera.width_px} × {camera.height_px} px"
        raise LiveryError(f"simulated photograph: {size} could not be encoded. Make it smaller.")
    encoded = data.tobytes()
    return (_with_orientation(encoded, camera.orientation) if jpeg else encoded), suffix


def _with_orientation(jpeg: bytes, orientation: Orientation) -> bytes:
    """The same file with an EXIF segment of one entry, Orientation, after its first marker."""
    entry = b"\x01\x12\x00\x03\x00\x00\x00\x01" + orientation.to_bytes(2, "big") + b"\x00\x00"
    tiff = b"MM\x00\x2a\x00\x00\x00\x08" + b"\x00\x01" + entry + b"\x00\x00\x00\x00"
    body = b"Exif\x00\x00" + tiff
    segment = b"\xff\xe1" + (len(body) + 2).to_bytes(2, "big") + body
    return jpeg[:2] + segment + jpeg[2:]
