"""HEIC and RAW, made here, read where their decoders are installed and refused where not."""

import builtins

import numpy as np
import pillow_heif
import pytest
from picture_seeds import dng
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
    path = tmp_path / "p.dng"
    path.write_bytes(dng(light))
    photo = read_photograph(path)
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
