"""A picture file becomes pixels: decoded once, turned once, with its colour profile beside it."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from livery.capture.optional_decoders import RAW_SUFFIXES, is_heic, open_optional
from livery.errors import Fault, PhotographError
from livery.file_kinds import kind_of_file

Codes = NDArray[np.unsignedinteger[Any]]
MOST_PIXELS = 120_000_000  # [source: workshop-choice]
MOST_SIDE_PX = 32_000  # of what the libraries remap [source: workshop-choice]
MOST_BYTES = 600_000_000  # [source: workshop-choice]
MOST_DECODED_BYTES = 800_000_000  # [source: workshop-choice]
_ROWS = 256  # of a picture, turned from blue first to red first at once [source: workshop-choice]
LEAST_SIDE_PX = 64  # [source: workshop-choice]
_EXPORT = "Export it again as an RGB JPEG, PNG or TIFF, 8 or 16 bits a channel."
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
        codes: R, G, B, shape (height, width, 3), uint8 or uint16, not linear.
        profile: the embedded ICC profile, or None.
        sha256: of the file's bytes.
    """

    path: str
    codes: Codes
    profile: bytes | None
    sha256: str

    @property
    def full_scale(self) -> float:
        """The code of a full channel."""
        return float(np.iinfo(self.codes.dtype).max)

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return int(self.codes.shape[1]), int(self.codes.shape[0])


@dataclass(frozen=True, slots=True)
class _Header:
    """What a file says of itself before its pixels are decoded."""

    kind: str
    mode: str
    width: int
    height: int
    orientation: int
    profile: bytes | None
    depth_bytes: int = 1

    @property
    def decoded_bytes(self) -> int:
        """Memory that decoding takes: a PNG is held twice, and transparency taken off a copy."""
        channels, copies = (4 if self.mode == "RGBA" else 3), (2 if self.kind == "PNG" else 1)
        values = channels * copies + (3 if self.mode == "RGBA" else 0)
        return self.width * self.height * values * self.depth_bytes


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
    optional = _optional_kind(path, data)
    if optional:
        return _read_optional(name, optional, data)
    header = _header(name, data)
    _check(name, header)
    if not _is_whole(header.kind, data):
        raise _refuse(name, "the file ends before its picture does", "Copy it again.")
    codes = _decode(name, data, header)
    if header.orientation in _TURNS:
        codes = _turned(codes, header.orientation)
    return Photograph(name, codes, header.profile, hashlib.sha256(data).hexdigest())


def _optional_kind(path: Path, data: bytes) -> str:
    if is_heic(data):
        return "HEIC"
    return "RAW" if path.suffix.lower() in RAW_SUFFIXES else ""


def _read_optional(name: str, kind: str, data: bytes) -> Photograph:
    picture = open_optional(name, kind, data)
    _check(name, _Header(kind, "RGB", picture.width, picture.height, 1, None))
    codes, profile = picture.decode()
    return Photograph(name, codes, profile, hashlib.sha256(data).hexdigest())


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
    import cv2

    transpose, up_down, left_right = _TURNS[orientation]
    turned = cv2.transpose(codes) if transpose else codes
    if up_down or left_right:
        turned = cv2.flip(turned, -1 if up_down and left_right else 0 if up_down else 1)
    return np.asarray(turned, dtype=codes.dtype)


def _refuse(name: str, found: str, mend: str) -> PhotographError:
    return PhotographError(Fault(name, "", None, found, mend))


def _read(path: Path) -> bytes:
    name = str(path)
    try:
        if path.is_dir():
            raise _refuse(name, "this is a folder", "Name a photograph in it.")
        if not path.is_file():
            raise _refuse(name, "there is no such file", "Check the path.")
        size = path.stat().st_size
        if size == 0:
            raise _refuse(name, "the file is empty", "Copy the photograph again.")
        if size > MOST_BYTES:
            raise _refuse(name, f"the file has {size:,} bytes", f"At most {MOST_BYTES:,} are read.")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, PhotographError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(name, f"it cannot be read ({reason})", "Check the path.") from error


def _header(name: str, data: bytes) -> _Header:
    """Kind, size, mode, orientation and profile, pixels untouched."""
    if data[:4] in (b"II*\0", b"MM\0*"):
        return _tiff_header(name, data)
    if data[:3] == b"\xff\xd8\xff":
        kind = "JPEG"
    elif data[:8] == b"\x89PNG\r\n\x1a\n":
        kind = "PNG"
    else:
        raise _refuse(name, _what_it_is(data), _EXPORT)
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # sizes are judged by our own limit, just below
            with Image.open(io.BytesIO(data), formats=[kind]) as image:
                # Of a PNG without EXIF, Pillow would decode the whole picture to look for it.
                told = kind != "PNG" or b"eXIf" in data or b"Raw profile type" in data
                orientation = int(image.getexif().get(274, 1) or 1) if told else 1
                profile = image.info.get("icc_profile") or None
                depth = 2 if kind == "PNG" and data[24:25] == b"\x10" else 1
                return _Header(kind, image.mode, *image.size, orientation, profile, depth)
    except Image.DecompressionBombError as error:
        raise _refuse(name, "the picture is too large", _most()) from error
    except (OSError, ValueError, SyntaxError, TypeError, KeyError, EOFError) as error:
        raise _refuse(name, f"the {kind} file is damaged", "Copy it again.") from error


def _tiff_header(name: str, data: bytes) -> _Header:
    """Tags of a TIFF's first page; read by hand, as 16-bit colour has no mode in Pillow."""
    from PIL import TiffImagePlugin

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what a damaged directory lacks is judged below
            tags = TiffImagePlugin.ImageFileDirectory_v2(data[:8])
            stream = io.BytesIO(data)
            stream.seek(tags.next)
            tags.load(stream)
        photometric, samples = int(tags.get(262, -1)), int(tags.get(277, 1))
        mode = {2: "RGB", 6: "RGB", 5: "CMYK", 3: "P", 8: "Lab"}.get(photometric, "L")
        if mode == "RGB" and samples == 4:
            mode = "RGBA"
        ends = [
            int(o) + int(n)
            for o, n in zip(_many(tags.get(273)), _many(tags.get(279)), strict=False)
        ]
        if ends and max(ends) > len(data):
            raise _refuse(name, "the file ends before its picture does", "Copy it again.")
        width, height = int(tags[256]), int(tags[257])
        if int(tags.get(274, 1)) in (5, 6, 7, 8):  # the decoder of TIFF turns the picture itself
            width, height = height, width
        depth = max(1, *(bits // 8 for bits in _many(tags.get(258))), 1)
        return _Header("TIFF", mode, width, height, 1, tags.get(34675) or None, depth)
    except PhotographError:
        raise
    except Exception as error:  # the tag reader raises whatever a damaged directory provokes
        raise _refuse(name, "the TIFF file is damaged", "Copy it again.") from error


def _many(value: object) -> tuple[int, ...]:
    if isinstance(value, tuple):
        return value
    return (value,) if isinstance(value, int) else ()


def _what_it_is(data: bytes) -> str:
    if data[4:8] == b"ftyp":
        return "it is an AVIF or video file, for which there is no decoder here"
    kind = kind_of_file(data)
    return f"it is {kind}" if kind else "it is not a JPEG, PNG or TIFF picture"


def _most() -> str:
    most = f"At most {MOST_PIXELS / 1e6:g} million pixels are read, {MOST_SIDE_PX:,} a side"
    return f"{most}; send the camera's own file."


def _check(name: str, header: _Header) -> None:
    width, height = header.width, header.height
    if width * height > MOST_PIXELS or max(width, height) > MOST_SIDE_PX:
        raise _refuse(name, f"the picture has {width} × {height} pixels", _most())
    if header.decoded_bytes > MOST_DECODED_BYTES:
        found = (
            f"the picture has {width} × {height} pixels of {8 * header.depth_bytes} bits a colour"
        )
        raise _refuse(name, found, "Export it with 8 bits a channel, without transparency.")
    if min(width, height) < LEAST_SIDE_PX:
        mend = f"A photograph needs {LEAST_SIDE_PX} pixels each way; send the camera's own file."
        raise _refuse(name, f"the picture has only {width} × {height} pixels", mend)
    if header.mode in ("CMYK", "Lab", "LAB", "YCCK"):
        raise _refuse(name, f"the picture is {header.mode}, not a camera's RGB", _EXPORT)
    if header.mode in ("P", "PA", "1"):
        raise _refuse(name, "the picture has a colour table, so its colours were rounded", _EXPORT)
    if header.mode.startswith(("L", "I", "F")):
        raise _refuse(name, "the picture is grey, without colour", _EXPORT)


def _is_whole(kind: str, data: bytes) -> bool:
    """Whether the picture's end is there; a decoder fills what is missing without a word."""
    if kind == "JPEG":
        return data.rfind(b"\xff\xd9") > _jpeg_scan(data) > 0
    return data.rfind(b"IEND") > 0 if kind == "PNG" else True


def _jpeg_scan(data: bytes) -> int:
    """Where the first scan begins, walking the segments, or 0.

    Source:
        [source: itu-t-81]
    """
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xDA:
            return at
        if marker == 0xFF:
            at += 1
            continue
        at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
    return 0


def _decode(name: str, data: bytes, header: _Header) -> Codes:
    import cv2

    is_jpeg = header.kind == "JPEG"
    way = cv2.IMREAD_COLOR_RGB | cv2.IMREAD_IGNORE_ORIENTATION if is_jpeg else cv2.IMREAD_UNCHANGED
    try:
        image = cv2.imdecode(np.frombuffer(data, np.uint8), way)
    except cv2.error:
        image = None
    if image is None or image.ndim != 3 or image.shape[:2] != (header.height, header.width):
        raise _refuse(name, f"the {header.kind} picture cannot be decoded", _EXPORT)
    if image.dtype not in (np.uint8, np.uint16):
        raise _refuse(name, f"the picture holds {image.dtype} numbers", _EXPORT)
    codes: Codes = np.asarray(image, dtype=image.dtype)
    if codes.shape[2] == 4:
        if codes[..., 3].min() < np.iinfo(codes.dtype).max:
            raise _refuse(name, "parts of the picture are transparent", _EXPORT)
        codes = codes[..., :3]
    if codes.shape[2] != 3:
        raise _refuse(name, f"the picture has {codes.shape[2]} channels", _EXPORT)
    if is_jpeg:
        return codes
    codes = np.ascontiguousarray(codes)
    for start in range(0, len(codes), _ROWS):  # a part at a time, so that no second picture is held
        rows = codes[start : start + _ROWS]
        rows[...] = cv2.cvtColor(rows, cv2.COLOR_BGR2RGB)
    return codes
