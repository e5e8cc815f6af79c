"""A picture file becomes a photograph: decoded once, turned once, its colour profile beside it."""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from livery.capture.optional_decoders import open_optional, optional_kind
from livery.capture.picture_header import (
    EXPORT,
    Header,
    check_header,
    ends_early,
    is_whole,
    read_header,
    refuse,
)
from livery.errors import PhotographError

Codes = NDArray[np.unsignedinteger[Any]]
_MOST_BYTES = 600_000_000  # of a file [source: workshop-choice]
_ROWS = 256  # of a picture, turned from blue first to red first at once [source: workshop-choice]
# EXIF orientation to (transpose, flip up-down, flip left-right). [source: exif-orientation]
_TURNS = {
    2: (False, False, True),
    3: (False, True, True),
    4: (False, True, False),
    5: (True, False, False),
    6: (True, False, True),
    7: (True, True, True),
    8: (True, True, False),
}


@dataclass(frozen=True, slots=True, eq=False)
class Photograph:
    """Pixels as the file holds them, after EXIF has turned them upright.

    Attributes:
        path: as the file was named.
        codes: R, G, B, shape (height, width, 3), uint8 or uint16, not linear.
        profile: the embedded ICC profile, or None.
        sha256: of the file's bytes.
        steps: in which a JPEG's blocks hold their mean luma and chroma, in codes; else None.
    """

    path: str
    codes: Codes
    profile: bytes | None
    sha256: str
    steps: tuple[float, float] | None = None

    @property
    def full_scale(self) -> float:
        """The code of a full channel."""
        return float(np.iinfo(self.codes.dtype).max)

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return int(self.codes.shape[1]), int(self.codes.shape[0])


def read_photograph(path: Path) -> Photograph:
    """Decode a JPEG, PNG or TIFF photograph, or HEIC or RAW where their decoder is installed.

    Args:
        path: the file.

    Raises:
        PhotographError: unreadable, not a photograph, damaged, too large or small, or in a form
            whose colours mean nothing here (CMYK, grey, palette, transparent); one clear fault.
    """
    data = _read(path)
    name = str(path)
    optional = optional_kind(path, data)
    if optional:
        return _read_optional(name, optional, data)
    header = read_header(name, data)
    check_header(name, header)
    if not is_whole(header.kind, data):
        raise ends_early(name)
    codes = _decode(name, data, header)
    if header.orientation in _TURNS:
        codes = _turned(codes, header.orientation)
    sha256 = hashlib.sha256(data).hexdigest()
    return Photograph(name, codes, header.profile, sha256, header.steps)


def _read_optional(name: str, kind: str, data: bytes) -> Photograph:
    picture = open_optional(name, kind, data)
    check_header(name, Header(kind, "RGB", picture.width, picture.height, 1, None))
    codes, profile = picture.decode()
    return Photograph(name, codes, profile, hashlib.sha256(data).hexdigest())


def grey_of(photograph: Photograph) -> NDArray[np.uint8]:
    """The picture in grey, shape (height, width), for finding things in it."""
    import cv2

    return np.asarray(cv2.cvtColor(in_eight_bits(photograph), cv2.COLOR_RGB2GRAY), np.uint8)


def in_eight_bits(photograph: Photograph) -> NDArray[np.uint8]:
    """The codes cut to 8 bits, shape (height, width, 3); those of an 8-bit file themselves."""
    codes = photograph.codes
    return codes if codes.dtype == np.uint8 else (codes >> 8).astype(np.uint8)


def reduce_picture(picture: Codes, factor: int) -> Codes:
    """A picture a whole number of times smaller, each pixel the mean of a square of pixels.

    Up to ``factor`` - 1 columns and rows are left off at the right and below; other reductions
    are several times as slow.

    Args:
        picture: shape (height, width) or (height, width, channels).
        factor: at least 1.
    """
    import cv2

    if factor == 1:
        return picture
    height, width = (side // factor for side in picture.shape[:2])
    whole = picture[: height * factor, : width * factor]
    small = cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=picture.dtype)


def _turned(codes: Codes, orientation: int) -> Codes:
    """A picture upright, by its EXIF orientation."""
    import cv2

    transpose, up_down, left_right = _TURNS[orientation]
    turned = cv2.transpose(codes) if transpose else codes
    if up_down or left_right:
        turned = cv2.flip(turned, -1 if up_down and left_right else 0 if up_down else 1)
    return np.asarray(turned, dtype=codes.dtype)


def _read(path: Path) -> bytes:
    """All of a file, refused in words where it cannot be had."""
    name = str(path)
    try:
        if path.is_dir():
            raise refuse(name, "this is a folder", "Name a photograph in it.")
        if not path.is_file():
            raise refuse(name, "there is no such file", "Check the path.")
        size = path.stat().st_size
        if size == 0:
            raise refuse(name, "the file is empty", "Copy the photograph again.")
        if size > _MOST_BYTES:
            mend = f"At most {_MOST_BYTES:,} are read; send the camera's own file."
            raise refuse(name, f"the file has {size:,} bytes", mend)
        return path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, PhotographError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise refuse(name, f"it cannot be read ({reason})", "Check the path.") from error


def _in_large_pages(data: bytes, header: Header, way: int) -> Any:
    """A JPEG decoded into memory that numpy asks for in large pages; None where there is no way.

    In the small ones that OpenCV asks for, a third of the time goes by in getting them.
    """
    import cv2

    room = np.empty((header.height, header.width, 3), np.uint8)
    with suppress(AttributeError, OSError), os.fdopen(os.memfd_create("photograph"), "wb") as file:
        file.write(data)
        file.flush()
        return cv2.imread(f"/proc/self/fd/{file.fileno()}", room, way)
    return None


def _decode(name: str, data: bytes, header: Header) -> Codes:
    """The pixels, R, G, B, not yet turned, shape (height, width, 3)."""
    is_jpeg = header.kind == "JPEG"
    image = _image(data, header, is_jpeg=is_jpeg)
    if image is None or image.ndim != 3 or image.shape[:2] != (header.height, header.width):
        raise refuse(name, f"the {header.kind} picture cannot be decoded", EXPORT)
    if image.dtype not in (np.uint8, np.uint16):
        raise refuse(name, f"the picture holds {image.dtype} numbers", EXPORT)
    codes: Codes = np.asarray(image, dtype=image.dtype)
    if codes.shape[2] == 4:
        if codes[..., 3].min() < np.iinfo(codes.dtype).max:
            raise refuse(name, "parts of the picture are transparent", EXPORT)
        codes = codes[..., :3]
    if codes.shape[2] != 3:
        raise refuse(name, f"the picture has {codes.shape[2]} channels", EXPORT)
    return codes if is_jpeg else _red_first(codes)


def _image(data: bytes, header: Header, *, is_jpeg: bool) -> Any:
    """What OpenCV makes of a file, a JPEG red first, others blue first; None where it cannot."""
    import cv2

    way = cv2.IMREAD_COLOR_RGB | cv2.IMREAD_IGNORE_ORIENTATION if is_jpeg else cv2.IMREAD_UNCHANGED
    try:
        image = _in_large_pages(data, header, way) if is_jpeg else None
        return cv2.imdecode(np.frombuffer(data, np.uint8), way) if image is None else image
    except cv2.error:
        return None


def _red_first(codes: Codes) -> Codes:
    """The channels turned from blue first to red first."""
    import cv2

    codes = np.ascontiguousarray(codes)
    for start in range(0, len(codes), _ROWS):  # a part at a time, so that no second picture is held
        rows = codes[start : start + _ROWS]
        rows[...] = cv2.cvtColor(rows, cv2.COLOR_BGR2RGB)
    return codes
