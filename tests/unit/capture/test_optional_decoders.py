"""HEIC and RAW, made here, read where their decoders are installed and refused where not."""

import builtins
import struct

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from livery.capture import read_photograph
from livery.capture.linear_light import linear_of
from livery.errors import PhotographError

COLOURS = np.array([(200, 30, 40), (30, 150, 60), (40, 60, 190), (180, 180, 180)], np.uint8)


def _picture():
    """Four fields, 128 by 96."""
    codes = np.zeros((96, 128, 3), np.uint8)
    codes[:48, :64], codes[:48, 64:], codes[48:, :64], codes[48:, 64:] = COLOURS
    return codes


def _fields(codes):
    return np.array([codes[y, x] for y in (20, 70) for x in (30, 95)], dtype=float)


def _heic(path):
    pillow_heif.from_pillow(Image.fromarray(_picture())).save(path, quality=95)
    return path


def _dng(path, light, side=128):
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
    path.write_bytes(head + entries + struct.pack("<I", 0) + extra + pixels)
    return path


def test_heic_is_read(tmp_path):
    photo = read_photograph(_heic(tmp_path / "p.heic"))
    assert photo.size_px == (128, 96)
    assert np.abs(_fields(photo.codes) - COLOURS).max() <= 4


@pytest.mark.parametrize("share", [0.2, 0.7])
def test_damaged_heic_is_refused(tmp_path, share):
    path = _heic(tmp_path / "p.heic")
    data = path.read_bytes()
    path.write_bytes(data[: int(share * len(data))])
    with pytest.raises(PhotographError, match="damaged"):
        read_photograph(path)


def test_raw_is_read_in_proportion_to_light(tmp_path):
    light = np.array([(30000, 6000, 9000), (5000, 25000, 7000), (6000, 9000, 30000), (20000,) * 3])
    photo = read_photograph(_dng(tmp_path / "p.dng", light))
    assert photo.codes.dtype == np.uint16
    size = np.array(photo.size_px)
    spots = [(int(size[1] * y), int(size[0] * x)) for y in (0.25, 0.75) for x in (0.25, 0.75)]
    seen = linear_of(photo)(np.array([[photo.codes[spot] for spot in spots]]))[0]
    assert np.abs(seen * 65535 / light - 1.0).max() < 0.02


def test_damaged_raw_is_refused(tmp_path):
    path = tmp_path / "p.nef"
    path.write_bytes(b"II*\0" + bytes(5000))
    with pytest.raises(PhotographError, match="damaged"):
        read_photograph(path)


@pytest.mark.parametrize(
    ("name", "data", "extra"),
    [
        ("p.heic", b"\0\0\0\x18ftypheic" + bytes(100), "heic"),
        ("p.CR2", b"II*\0" + bytes(100), "raw"),
    ],
)
def test_a_missing_decoder_is_named(tmp_path, monkeypatch, name, data, extra):
    real = builtins.__import__

    def absent(module, *rest, **more):
        if module in ("pi_heif", "rawpy"):
            raise ImportError(module)
        return real(module, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", absent)
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(PhotographError, match=rf"livery\[{extra}\]"):
        read_photograph(path)
