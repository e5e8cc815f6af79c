"""Small good pictures and colour profiles: what a fuzzer starts from."""

import io
import struct
import zlib

import cv2
import numpy as np
import pillow_heif
from icc import fixed, parametric, profile_of, sampled, xyz
from PIL import Image


def _picture(kind: type[np.unsignedinteger]) -> np.ndarray:
    """A picture of 64 by 64 with something in it."""
    y, x = np.mgrid[0:64, 0:64]
    full = np.iinfo(kind).max
    return (np.stack([x * 4, y * 4, (x + y) * 2], axis=-1) / 255.0 * full).astype(kind)


def _encoded(suffix: str, kind: type[np.unsignedinteger] = np.uint8) -> bytes:
    return cv2.imencode(suffix, _picture(kind))[1].tobytes()


def profile() -> bytes:
    """A matrix and curves profile of RGB, by hand."""
    gamma = sampled([563]) + b"\0\0"
    parts = {
        b"rXYZ": xyz(0.436, 0.222, 0.014),
        b"gXYZ": xyz(0.385, 0.717, 0.097),
        b"bXYZ": xyz(0.143, 0.061, 0.714),
        b"rTRC": gamma,
        b"gTRC": gamma,
        b"bTRC": parametric(3, (2.4, 0.948, 0.052, 0.0774, 0.0405)),
    }
    return profile_of(parts, b"mntr", b"RGB ", b"XYZ ")


def _chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def presses() -> tuple[bytes, ...]:
    """A press of four inks with tables of two points, in 8 and in 16 bits."""
    made = []
    for wide in (False, True):
        parts = {b"wtpt": b"XYZ \0\0\0\0" + struct.pack(">3i", 58000, 60000, 48000)}
        parts |= dict.fromkeys((b"A2B0", b"A2B1"), _table(4, 3, wide))
        parts |= dict.fromkeys((b"B2A0", b"B2A1"), _table(3, 4, wide))
        made.append(profile_of(parts, b"prtr", b"CMYK", b"Lab "))
    return tuple(made)


def _table(ins: int, outs: int, wide: bool) -> bytes:
    kind, number, entries = (b"mft2", ">u2", 2) if wide else (b"mft1", "u1", 256)
    most = np.iinfo(number).max
    head = kind + b"\0" * 4 + struct.pack(">3Bx", ins, outs, 2)
    head += fixed(1, 0, 0, 0, 1, 0, 0, 0, 1)
    head += struct.pack(">2H", entries, entries) if wide else b""
    curve = np.linspace(0, most, entries).astype(number).tobytes()
    grid = np.linspace(most, 0, 2**ins * outs).astype(number).tobytes()
    return head + curve * ins + grid + curve * outs


def pngs() -> tuple[bytes, ...]:
    """8 and 16 bits a channel, and one with a profile."""
    plain = _encoded(".png")
    icc = _chunk(b"iCCP", b"p\0\0" + zlib.compress(profile()))
    return plain, _encoded(".png", np.uint16), plain[:33] + icc + plain[33:]


def jpegs() -> tuple[bytes, ...]:
    """Plain, turned by EXIF, and one with a profile."""
    plain = _encoded(".jpg")
    exif = b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0"
    icc = b"ICC_PROFILE\0\x01\x01" + profile()
    return plain, _segment(plain, 0xE1, exif), _segment(plain, 0xE2, icc)


def _segment(jpeg: bytes, marker: int, body: bytes) -> bytes:
    return jpeg[:2] + struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body + jpeg[2:]


def tiffs() -> tuple[bytes, ...]:
    """8 and 16 bits a channel."""
    return _encoded(".tif"), _encoded(".tif", np.uint16)


def heics() -> tuple[bytes, ...]:
    """A phone's picture."""
    stream = io.BytesIO()
    pillow_heif.from_pillow(Image.fromarray(_picture(np.uint8))).save(stream, quality=95)
    return (stream.getvalue(),)


def raws() -> tuple[bytes, ...]:
    """A camera's raw picture."""
    return (dng(np.array([(30000, 6000, 9000), (5000, 25000, 7000)] * 2), 64),)


def dng(light: np.ndarray, side: int = 128) -> bytes:
    """A plain uncompressed DNG, RGGB: ``light`` is its raw R, G, B in each of four fields."""
    codes = np.zeros((side, side, 3), np.uint16)
    half = side // 2
    codes[:half, :half], codes[:half, half:], codes[half:, :half], codes[half:, half:] = light
    mosaic = codes[..., 1].copy()
    mosaic[::2, ::2] = codes[::2, ::2, 0]
    mosaic[1::2, 1::2] = codes[1::2, 1::2, 2]
    pixels = mosaic.astype("<u2").tobytes()
    unit = struct.pack("<18i", *(v for i in range(9) for v in (int(i % 4 == 0), 1)))
    neutral = struct.pack("<6I", 1, 1, 1, 1, 1, 1)
    tags = [
        (254, 4, 1, struct.pack("<I", 0)),
        (256, 4, 1, struct.pack("<I", side)),
        (257, 4, 1, struct.pack("<I", side)),
        (258, 3, 1, struct.pack("<HH", 16, 0)),
        (259, 3, 1, struct.pack("<HH", 1, 0)),
        (262, 3, 1, struct.pack("<HH", 32803, 0)),
        (271, 2, 8, b"Invented"[:7] + b"\0"),
        (272, 2, 4, b"One\0"),
        (273, 4, 1, None),
        (274, 3, 1, struct.pack("<HH", 1, 0)),
        (277, 3, 1, struct.pack("<HH", 1, 0)),
        (278, 4, 1, struct.pack("<I", side)),
        (279, 4, 1, struct.pack("<I", len(pixels))),
        (33421, 3, 2, struct.pack("<HH", 2, 2)),
        (33422, 1, 4, bytes([0, 1, 1, 2])),
        (50706, 1, 4, bytes([1, 4, 0, 0])),
        (50708, 2, 13, b"Invented One\0"),
        (50714, 4, 1, struct.pack("<I", 0)),
        (50717, 4, 1, struct.pack("<I", 65535)),
        (50721, 10, 9, unit),
        (50728, 5, 3, neutral),
        (50778, 3, 1, struct.pack("<HH", 21, 0)),
    ]
    end = 8 + 2 + 12 * len(tags) + 4
    extra, entries = b"", b""
    sizes = sum(len(v) + len(v) % 2 for *_, v in tags if v is not None and len(v) > 4)
    for tag, kind, count, value in tags:
        value = struct.pack("<I", end + sizes) if value is None else value
        if len(value) > 4:
            entries += struct.pack("<HHII", tag, kind, count, end + len(extra))
            extra += value + b"\0" * (len(value) % 2)
        else:
            entries += struct.pack("<HHI", tag, kind, count) + value
    head = b"II*\0" + struct.pack("<I", 8) + struct.pack("<H", len(tags))
    return head + entries + struct.pack("<I", 0) + extra + pixels
