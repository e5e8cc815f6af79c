"""Files become photographs as they are, or are refused in words before they do harm."""

import errno
import io
import os
import struct
import zlib

import cv2
import numpy as np
import pytest
from PIL import Image, ImageCms, ImageOps

from livery.capture import read_photograph
from livery.capture.linear_light import linear_of
from livery.errors import PhotographError

PICTURE = np.random.default_rng(1).integers(0, 256, (90, 120, 3), dtype=np.uint8)


def _save(path, image, **options):
    image.save(path, **options)
    return path


def _encode(path, array):
    path.write_bytes(cv2.imencode(path.suffix, array)[1].tobytes())
    return path


@pytest.mark.parametrize("suffix", [".png", ".tif"])
def test_eight_and_sixteen_bits_are_kept(tmp_path, suffix):
    wide = PICTURE.astype(np.uint16) * 257 - (PICTURE > 0)
    for array in (PICTURE, wide):
        photo = read_photograph(_encode(tmp_path / f"p{suffix}", array[..., ::-1]))
        assert photo.codes.dtype == array.dtype
        assert np.array_equal(photo.codes, array)


@pytest.mark.parametrize("large_pages", [True, False])
def test_a_jpeg_is_read_as_opencv_decodes_it(tmp_path, monkeypatch, large_pages):
    def refused(name):
        raise OSError(errno.ENOSYS, "no such call")

    if not large_pages:
        monkeypatch.setattr(os, "memfd_create", refused)
    path = _encode(tmp_path / "p.jpg", PICTURE)
    photo = read_photograph(path)
    assert np.array_equal(photo.codes, cv2.imread(str(path))[..., ::-1])


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["jpg", "tif"])
def test_exif_turns_the_picture_once(tmp_path, orientation, kind):
    upright = np.zeros((96, 160, 3), np.uint8)
    upright[:48, :80] = (250, 10, 10)
    upright[:48, 80:] = (10, 250, 10)
    exif = Image.Exif()
    exif[274] = orientation
    path = tmp_path / f"p.{kind}"
    stream = io.BytesIO()
    Image.fromarray(upright).save(stream, "PNG")
    Image.open(stream).save(path, exif=exif, **({"quality": 98} if kind == "jpg" else {}))
    wanted = np.asarray(ImageOps.exif_transpose(Image.open(path)).convert("RGB"))
    codes = read_photograph(path).codes
    assert codes.shape == wanted.shape
    assert np.abs(codes.astype(int) - wanted).max() <= 3


def test_the_profile_linearises_in_its_own_space(tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    path = _save(tmp_path / "p.png", Image.fromarray(PICTURE), icc_profile=profile)
    with_profile = read_photograph(path)
    without = read_photograph(_save(tmp_path / "q.png", Image.fromarray(PICTURE)))
    assert with_profile.profile == profile
    difference = linear_of(with_profile)(PICTURE) - linear_of(without)(PICTURE)
    assert np.abs(difference).max() < 2e-4


def test_a_damaged_profile_is_refused(tmp_path):
    path = _save(tmp_path / "p.png", Image.fromarray(PICTURE), icc_profile=b"\x00" * 200)
    with pytest.raises(PhotographError):
        linear_of(read_photograph(path))


@pytest.mark.parametrize(
    ("image", "kind", "words"),
    [
        (Image.new("CMYK", (90, 90)), "jpg", "CMYK"),
        (Image.new("CMYK", (90, 90)), "tif", "CMYK"),
        (Image.new("L", (90, 90)), "jpg", "grey"),
        (Image.new("L", (90, 90)), "png", "grey"),
        (Image.new("I;16", (90, 90)), "png", "grey"),
        (Image.new("LA", (90, 90)), "png", "grey"),
        (Image.new("1", (90, 90)), "png", "colour table"),
        (Image.new("P", (90, 90)), "png", "colour table"),
        (Image.new("RGBA", (90, 90), (9, 9, 9, 100)), "png", "transparent"),
        (Image.new("RGB", (1, 1)), "png", "only 1 × 1"),
        (Image.new("RGB", (90, 90)), "gif", "it is a GIF picture"),
        (Image.new("RGB", (90, 90)), "webp", "not a JPEG, PNG or TIFF"),
    ],
)
def test_pictures_that_are_no_photographs_are_refused(tmp_path, image, kind, words):
    with pytest.raises(PhotographError, match=words) as caught:
        read_photograph(_save(tmp_path / f"p.{kind}", image))
    assert len(caught.value.faults) == 1


@pytest.mark.parametrize("kind", ["tif", "png"])
def test_a_file_of_several_pictures_is_refused(tmp_path, kind):
    picture = Image.fromarray(PICTURE)
    path = _save(tmp_path / f"p.{kind}", picture, save_all=True, append_images=[picture.rotate(90)])
    with pytest.raises(PhotographError, match=r"several pictures\. Save the one you mean"):
        read_photograph(path)


def test_a_preview_is_no_second_picture(tmp_path):
    small = Image.fromarray(PICTURE).resize((60, 45))
    path = _save(tmp_path / "p.tif", Image.fromarray(PICTURE), save_all=True, append_images=[small])
    assert np.array_equal(read_photograph(path).codes, PICTURE)


def test_an_opaque_alpha_channel_is_dropped(tmp_path):
    opaque = Image.fromarray(np.dstack([PICTURE, np.full(PICTURE.shape[:2], 255, np.uint8)]))
    assert np.array_equal(read_photograph(_save(tmp_path / "p.png", opaque)).codes, PICTURE)


@pytest.mark.parametrize("kind", ["jpg", "png", "tif"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.9])
def test_a_truncated_file_is_refused(tmp_path, kind, share):
    path = _save(tmp_path / f"p.{kind}", Image.fromarray(PICTURE))
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    with pytest.raises(PhotographError):
        read_photograph(path)


@pytest.mark.parametrize(
    "data", [b"", b"hello", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"II*\0\x08"]
)
def test_what_is_no_picture_is_refused(tmp_path, data):
    path = tmp_path / "p.jpg"
    path.write_bytes(data)
    with pytest.raises(PhotographError):
        read_photograph(path)


def test_missing_files_and_folders_are_refused(tmp_path):
    for path in (tmp_path / "none.jpg", tmp_path):
        with pytest.raises(PhotographError, match=r"no such file|a folder"):
            read_photograph(path)


def test_a_strip_of_thirty_thousand_pixels_is_read(tmp_path):
    path = _encode(tmp_path / "wide.png", np.zeros((80, 30000, 3), np.uint8))
    assert read_photograph(path).size_px == (30000, 80)


def test_a_strip_wider_than_pictures_can_be_bent_is_refused(tmp_path):
    path = _encode(tmp_path / "wide.png", np.zeros((80, 32800, 3), np.uint8))
    with pytest.raises(PhotographError, match=r"32800 × 80 pixels.*32,000 a side"):
        read_photograph(path)


def test_a_decompression_bomb_is_refused_before_it_unfolds(tmp_path):
    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", 60000, 60000, 8, 2, 0, 0, 0)
    path = tmp_path / "bomb.png"
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b"")
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + body)
    with pytest.raises(PhotographError, match=r"too large|60000 × 60000"):
        read_photograph(path)


def test_a_small_file_that_would_fill_the_memory_is_refused(tmp_path):
    head = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR"
    for side, depth in ((2**31 - 1, 8), (10_900, 16)):
        size = struct.pack(">IIBBBBB", side, side, depth, 2, 0, 0, 0)
        end = b"\0\0\0\0IEND\xaeB`\x82"
        (tmp_path / "a.png").write_bytes(
            head + size + struct.pack(">I", zlib.crc32(b"IHDR" + size)) + end
        )
        with pytest.raises(PhotographError, match=r"million pixels|8 bits a channel|too large"):
            read_photograph(tmp_path / "a.png")
