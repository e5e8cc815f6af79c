"""What a picture file says of itself, read and judged before its pixels are decoded."""

from __future__ import annotations

import io
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from livery.errors import Fault, PhotographError
from livery.file_kinds import kind_of_file

_MOST_PIXELS = 120_000_000  # [source: workshop-choice]
_MOST_SIDE_PX = 32_000  # of what the libraries remap [source: workshop-choice]
_MOST_DECODED_BYTES = 800_000_000  # [source: workshop-choice]
_LEAST_SIDE_PX = 64  # [source: workshop-choice]
EXPORT = "Export it again as an RGB JPEG, PNG or TIFF, 8 or 16 bits a channel."
_COPY = "Copy it again."
_ORIENTATION = 274  # tag of EXIF and of TIFF [source: exif-orientation]
_SIDEWAYS = (5, 6, 7, 8)  # orientations that swap width and height [source: exif-orientation]
# Tags of a TIFF's page, bits of its subfile type, and modes by photometric interpretation.
# [source: tiff-6]
_SUBFILE_TYPE, _WIDTH, _HEIGHT, _BITS, _PHOTOMETRIC = 254, 256, 257, 258, 262
_STRIP_OFFSETS, _SAMPLES, _STRIP_BYTES = 273, 277, 279
_PREVIEW_OR_MASK = 0b101
_MODES = {2: "RGB", 3: "P", 5: "CMYK", 6: "RGB", 8: "Lab"}
_ICC_PROFILE = 34675  # tag of TIFF [source: icc-1]


@dataclass(frozen=True, slots=True)
class Header:
    """What a file says of itself before its pixels are decoded.

    Attributes:
        kind: JPEG, PNG, TIFF, HEIC or RAW.
        mode: of its pixels, as Pillow spells it: RGB, RGBA, L, P, CMYK...
        width, height: px, before EXIF turns it; of a TIFF, after.
        orientation: EXIF's, 1 to 8; 1 is upright, or turned by the decoder.
        profile: the embedded ICC profile, or None.
        depth_bytes: of one channel of one pixel.
        alone: it holds one picture, and no others that one might as well have meant.
        steps: in which a JPEG's blocks hold their mean luma and chroma, in codes; None where the
            file holds no luma and chroma in blocks.
    """

    kind: str
    mode: str
    width: int
    height: int
    orientation: int
    profile: bytes | None
    depth_bytes: int = 1
    alone: bool = True
    steps: tuple[float, float] | None = None

    @property
    def decoded_bytes(self) -> int:
        """Memory that decoding takes: a PNG is held twice, and transparency taken off a copy."""
        channels, copies = (4 if self.mode == "RGBA" else 3), (2 if self.kind == "PNG" else 1)
        values = channels * copies + (3 if self.mode == "RGBA" else 0)
        return self.width * self.height * values * self.depth_bytes


def refuse(name: str, found: str, mend: str) -> PhotographError:
    """The error for a file: what was found in it, and what to do instead."""
    return PhotographError(Fault(name, "", None, found, mend))


def read_header(name: str, data: bytes) -> Header:
    """Kind, size, mode, orientation and profile, pixels untouched.

    Args:
        name: the file's, for messages.
        data: all its bytes.

    Raises:
        PhotographError: neither JPEG, PNG nor TIFF, or damaged.
    """
    if data[:4] in (b"II*\0", b"MM\0*"):
        return _tiff_header(name, data)
    if data[:3] == b"\xff\xd8\xff":
        kind = "JPEG"
    elif data[:8] == b"\x89PNG\r\n\x1a\n":
        kind = "PNG"
    else:
        raise refuse(name, _what_it_is(data), EXPORT)
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # sizes are judged by our own limit, just below
            with Image.open(io.BytesIO(data), formats=[kind]) as image:
                # Of a PNG without EXIF, Pillow would decode the whole picture to look for it.
                told = kind != "PNG" or b"eXIf" in data or b"Raw profile type" in data
                orientation = int(image.getexif().get(_ORIENTATION, 1) or 1) if told else 1
                profile = image.info.get("icc_profile") or None
                depth = 2 if kind == "PNG" and data[24:25] == b"\x10" else 1
                alone = kind != "PNG" or getattr(image, "n_frames", 1) == 1
                steps = _steps(image) if kind == "JPEG" else None
                size = image.size
                return Header(kind, image.mode, *size, orientation, profile, depth, alone, steps)
    except Image.DecompressionBombError as error:
        raise refuse(name, "the picture is too large", _most()) from error
    except (OSError, ValueError, SyntaxError, TypeError, KeyError, EOFError) as error:
        raise refuse(name, f"the {kind} file is damaged", _COPY) from error


def _steps(image: Any) -> tuple[float, float] | None:
    """The steps of a JPEG's blocks' means: an eighth of its tables' first entries.

    Source:
        [source: itu-t-81]
    """
    if image.mode != "RGB" or image.info.get("adobe_transform") == 0 or len(image.layer) != 3:
        return None
    luma, chroma = (image.quantization[image.layer[i][3]][0] / 8.0 for i in (0, 1))
    return luma, chroma


def _tiff_header(name: str, data: bytes) -> Header:
    """Tags of a TIFF's first page; read by hand, as 16-bit colour has no mode in Pillow."""
    from PIL import TiffImagePlugin

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what a damaged directory lacks is judged below
            stream = io.BytesIO(data)
            tags, following = (TiffImagePlugin.ImageFileDirectory_v2(data[:8]) for _ in range(2))
            stream.seek(tags.next)
            tags.load(stream)
            if tags.next:
                stream.seek(tags.next)
                following.load(stream)
        mode = _MODES.get(int(tags.get(_PHOTOMETRIC, -1)), "L")
        if mode == "RGB" and int(tags.get(_SAMPLES, 1)) == 4:
            mode = "RGBA"
        strips = _many(tags.get(_STRIP_OFFSETS)), _many(tags.get(_STRIP_BYTES))
        ends = [start + length for start, length in zip(*strips, strict=False)]
        if max(ends, default=0) > len(data):
            raise ends_early(name)
        width, height = int(tags[_WIDTH]), int(tags[_HEIGHT])
        if int(tags.get(_ORIENTATION, 1)) in _SIDEWAYS:  # TIFF's decoder turns the picture itself
            width, height = height, width
        depth = max((bits // 8 for bits in _many(tags.get(_BITS))), default=1) or 1
        profile = tags.get(_ICC_PROFILE) or None
        alone = not (tags.next and _has_second_page(tags, following))
        return Header("TIFF", mode, width, height, 1, profile, depth, alone)
    except PhotographError:
        raise
    except Exception as error:  # the tag reader raises whatever a damaged directory provokes
        raise refuse(name, "the TIFF file is damaged", _COPY) from error


def _has_second_page(first: Mapping[int, Any], following: Mapping[int, Any]) -> bool:
    """Whether a picture as large as the first follows it, and no preview or mask of it.

    Source:
        [source: tiff-6]
    """
    same = all(following.get(side) == first.get(side) for side in (_WIDTH, _HEIGHT))
    return same and not int(following.get(_SUBFILE_TYPE, 0)) & _PREVIEW_OR_MASK


def _many(value: object) -> tuple[int, ...]:
    """A tag's numbers, of which Pillow gives a single one by itself."""
    if isinstance(value, tuple):
        return tuple(int(one) for one in value)
    return (value,) if isinstance(value, int) else ()


def _what_it_is(data: bytes) -> str:
    if data[4:8] == b"ftyp":
        return "it is an AVIF or video file, for which there is no decoder here"
    kind = kind_of_file(data)
    return f"it is {kind}" if kind else "it is not a JPEG, PNG or TIFF picture"


def _most() -> str:
    most = f"At most {_MOST_PIXELS / 1e6:g} million pixels are read, {_MOST_SIDE_PX:,} a side"
    return f"{most}; send the camera's own file."


def check_header(name: str, header: Header) -> None:
    """Refuse what is too large or small, or holds no camera's colours.

    Raises:
        PhotographError: it is.
    """
    width, height = header.width, header.height
    if width * height > _MOST_PIXELS or max(width, height) > _MOST_SIDE_PX:
        raise refuse(name, f"the picture has {width} × {height} pixels", _most())
    if not header.alone:
        raise refuse(name, "the file holds several pictures", "Save the one you mean by itself.")
    if header.decoded_bytes > _MOST_DECODED_BYTES:
        found = (
            f"the picture has {width} × {height} pixels of {8 * header.depth_bytes} bits a colour"
        )
        raise refuse(name, found, "Export it with 8 bits a channel, without transparency.")
    if min(width, height) < _LEAST_SIDE_PX:
        mend = f"A photograph needs {_LEAST_SIDE_PX} pixels each way; send the camera's own file."
        raise refuse(name, f"the picture has only {width} × {height} pixels", mend)
    if header.mode in ("CMYK", "Lab", "LAB", "YCCK"):
        raise refuse(name, f"the picture is {header.mode}, not a camera's RGB", EXPORT)
    if header.mode in ("P", "PA", "1"):
        raise refuse(name, "the picture has a colour table, so its colours were rounded", EXPORT)
    if header.mode.startswith(("L", "I", "F")):
        raise refuse(name, "the picture is grey, without colour", EXPORT)


def ends_early(name: str) -> PhotographError:
    """The error for a file of which only the beginning is there."""
    return refuse(name, "the file ends before its picture does", _COPY)


def is_whole(kind: str, data: bytes) -> bool:
    """Whether a JPEG's or PNG's end is there; a decoder fills what is missing without a word.

    Of a TIFF its header tells, and reading that refuses what ends early.
    """
    if kind == "JPEG":
        return data.rfind(b"\xff\xd9") > _jpeg_scan(data) > 0
    return kind != "PNG" or data.rfind(b"IEND") > 0


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
