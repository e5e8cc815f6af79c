"""What a JPEG's rounding leaves, and its luma and chroma as they were."""

import cv2
import numpy as np
import pytest

from livery.capture.linear_light import linear_of
from livery.capture.photograph import Photograph, read_photograph
from livery.capture.rounding import (
    TO_RGB,
    common_variance,
    luma_chroma,
    rounded_alike,
    spread_before,
)


def _picture(seed, side=160):
    generator = np.random.default_rng(seed)
    rough = generator.uniform(60, 190, (10, 10, 3)).astype(np.float32)
    smooth = cv2.resize(rough, (side, side), interpolation=cv2.INTER_CUBIC)
    return np.clip(smooth + generator.normal(0, 3, smooth.shape), 0, 255).astype(np.uint8)


def _as_jpeg(codes, quality):
    _, file = cv2.imencode(".jpg", codes[..., ::-1], [cv2.IMWRITE_JPEG_QUALITY, quality])
    return file.tobytes()


def _planes(codes):
    return np.ascontiguousarray(codes.reshape(-1, 3).T)


def _is_of(codes, held):
    """Whether red, green and blue are those luma and chroma rounded [itu-t-871]."""
    return (np.abs(TO_RGB @ held - codes) < 0.502).all(axis=0)


@pytest.mark.parametrize("quality", [60, 85, 95])
def test_a_jpegs_luma_and_chroma_are_those_that_its_pixels_were_made_of(quality):
    data = np.frombuffer(_as_jpeg(_picture(1), quality), np.uint8)
    codes = _planes(cv2.imdecode(data, cv2.IMREAD_COLOR_RGB))
    inside = (codes.min(axis=0) > 0) & (codes.max(axis=0) < 255)
    assert inside.mean() > 0.99
    assert _is_of(codes, luma_chroma(codes))[inside].all()


def test_a_picture_that_was_never_luma_and_chroma_has_none_such():
    codes = _planes(_picture(2))
    assert _is_of(codes, luma_chroma(codes)).mean() < 0.4


@pytest.mark.parametrize(
    ("quality", "steps"), [(85, (0.625, 0.625)), (90, (0.375, 0.375)), (95, (0.25, 0.25))]
)
def test_a_jpeg_says_in_what_steps_it_holds_its_blocks(tmp_path, quality, steps):
    """An eighth of its tables' first entries, which ITU-T T.81, Annex K scales by quality."""
    (tmp_path / "a.jpg").write_bytes(_as_jpeg(_picture(3), quality))
    photograph = read_photograph(tmp_path / "a.jpg")
    assert photograph.steps == steps
    assert linear_of(photograph).steps == steps


def test_a_picture_without_loss_has_no_steps(tmp_path):
    cv2.imwrite(str(tmp_path / "a.png"), _picture(4))
    assert read_photograph(tmp_path / "a.png").steps is None


def test_light_is_that_of_pixels_before_they_were_rounded():
    plain = Photograph("a.jpg", _picture(5), None, "")
    exact = Photograph("a.jpg", _picture(5), None, "", (0.25, 0.25))
    level = np.full((3, 1), 120, np.uint8)
    level[2] = 130  # luma 121, blue chroma 5, red chroma -1 make (119.6, 120.0, 129.9)
    held = TO_RGB @ luma_chroma(level)
    light, as_read = (linear_of(p).planes(level) for p in (exact, plain))
    table = linear_of(plain).columns[0]
    expected = np.interp(held, np.arange(256), table)
    assert np.allclose(light, expected, rtol=1e-3)
    assert not np.allclose(light, as_read, rtol=1e-3)


def test_what_all_values_are_off_by_is_as_simulated():
    """From a twelfth of a step's square to nothing [widrow-2008]."""
    generator = np.random.default_rng(6)
    for spread in (0.0, 0.1, 0.2, 0.3):
        middle = generator.uniform(0.0, 8.0, (4000, 1))
        values = middle + spread * generator.standard_normal((4000, 400))
        off = (np.rint(values) - values).mean(axis=1)
        told = float(common_variance(np.array([spread**2]), np.ones(1))[0])
        own = max(1.0 / 12.0 - told, 0.0) / 400
        assert off.var() == pytest.approx(told + own, rel=0.1, abs=2e-4)
    none = common_variance(np.array([0.0]), np.zeros(1))
    assert none == pytest.approx(0.0)


@pytest.mark.parametrize("spread", [0.08, 0.12, 0.2, 0.4])
def test_many_areas_tell_how_values_spread_before_they_were_rounded(spread):
    generator = np.random.default_rng(7)
    middle = generator.uniform(0.0, 8.0, (3000, 1, 3))
    values = middle + spread * generator.standard_normal((3000, 100, 3))
    found = spread_before(np.rint(values).var(axis=1), (0.0, 0.0))
    assert np.sqrt(found) == pytest.approx(np.full(3, spread), rel=0.1)


def test_the_coarser_a_files_steps_the_more_its_even_areas_are_off():
    alike = [rounded_alike(np.full(3, 1e-4), (s, s)).sum() for s in (0.25, 0.375, 0.625, 1.0)]
    assert alike == sorted(alike)
    spread = rounded_alike(np.full(3, 0.5), (0.25, 0.25))
    assert (np.sqrt(spread) < 0.02).all()
