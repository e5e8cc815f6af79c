"""All patches of a target read at once: their colour, its spread, and what spoils them."""

import cv2
import numpy as np
import pytest

from livery.capture.linear_light import linear_of
from livery.capture.patch_pixels import read_patches
from livery.capture.photograph import Photograph
from livery.colour import decode_srgb

LEVEL, SIDE = (120, 80, 200), 60
INSIDE_95 = 7.815  # chi-square, three degrees of freedom


def _square(left, top, side=SIDE):
    return np.array(
        [(left, top), (left + side, top), (left + side, top + side), (left, top + side)]
    )


def _read(codes, *outlines, steps=None):
    photograph = Photograph("shot.png", codes, None, "", steps)
    return read_patches(photograph, linear_of(photograph), np.array(outlines, dtype=np.float64))


def _even(dtype=np.uint8, scale=1):
    return np.full((200, 300, 3), np.array(LEVEL) * scale, dtype)


@pytest.mark.parametrize(("dtype", "scale"), [(np.uint8, 1), (np.uint16, 257)])
def test_an_even_patch_has_its_light_and_no_spread(dtype, scale):
    seen = _read(_even(dtype, scale), _square(10, 10), _square(100, 20))
    assert seen.readable.all()
    assert np.allclose(seen.rgb, decode_srgb(np.array(LEVEL) / 255.0))
    told = np.sqrt(np.diagonal(seen.cov, axis1=1, axis2=2)) / seen.rgb
    assert (told < (0.01 if dtype == np.uint8 else 1e-9)).all()
    assert not seen.clipped.any()
    assert not seen.bright_outliers.any()


def test_noise_gives_a_mean_as_sure_as_its_covariance_says():
    random = np.random.default_rng(5)
    codes = (_even(np.uint16, 257) + random.normal(0.0, 1500.0, (200, 300, 3))).astype(np.uint16)
    seen = _read(codes, *(_square(5 + 65 * x, 5 + 65 * y) for x in range(4) for y in range(3)))
    spread = seen.rgb.std(axis=0)
    told = np.sqrt(np.diagonal(seen.cov, axis1=1, axis2=2).mean(axis=0))
    assert (spread < 2.0 * told).all()
    assert (told < 2.0 * spread).all()


def test_a_jpeg_rounds_even_areas_by_about_what_their_covariance_says():
    random = np.random.default_rng(9)
    cell, inset, side = 83, 17, 50  # no multiple of the blocks
    squares = [
        _square(cell * x + inset, cell * y + inset, side) for y in range(8) for x in range(8)
    ]
    inside = []
    for quality, step in ((85, 0.625), (90, 0.375), (95, 0.25)):
        even = np.kron(random.uniform(30.0, 220.0, (8, 8, 3)), np.ones((cell, cell, 1)))
        even *= np.linspace(0.9, 1.0, even.shape[1])[:, None]  # as light falls
        codes = np.rint(even + random.normal(0.0, 1.0, even.shape)).astype(np.uint8)
        options = [cv2.IMWRITE_JPEG_QUALITY, quality]
        _, file = cv2.imencode(".jpg", codes[..., ::-1], options)
        decoded = cv2.imdecode(file, cv2.IMREAD_COLOR_RGB)
        seen = _read(decoded, *squares, steps=(step, step))
        away = seen.rgb - _read(codes, *squares).rgb
        inside.append(np.einsum("ni,nij,nj->n", away, np.linalg.inv(seen.cov), away) < INSIDE_95)
    assert 0.85 < np.mean(inside) < 0.99


def test_a_reflex_is_left_out_and_told():
    codes = _even()
    codes[12:20, 12:20] = 240
    spotted, plain = _read(codes, _square(10, 10), _square(100, 20)), _read(_even(), _square(9, 9))
    assert spotted.bright_outliers[0] > 0.01
    assert spotted.bright_outliers[1] == 0.0
    assert np.allclose(spotted.rgb[0], plain.rgb[0])


def test_full_and_empty_patches_are_clipped():
    codes = _even()
    codes[:, :100, 0] = 255
    codes[:, 200:, 2] = 0
    seen = _read(codes, _square(10, 10), _square(120, 10), _square(220, 10))
    assert seen.clipped.tolist() == [1.0, 0.0, 1.0]


def test_what_leaves_the_picture_or_is_too_small_is_not_readable():
    nowhere = np.full((4, 2), np.nan)
    seen = _read(_even(), _square(-5, 10), _square(250, 10), _square(10, 10, 2), nowhere)
    assert not seen.readable.any()
