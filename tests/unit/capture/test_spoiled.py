"""Spoiled photographs: each is refused, and for the right reason."""

import cv2
import numpy as np
import pytest

from livery.capture import make_target, measure
from livery.capture.model import Region

SIZE = (1200, 900)
BADGE = Region(
    "badge", "tarn", "bat", polygon_mm=np.array([(66.0, 54), (84, 54), (84, 72), (66, 72)])
)


@pytest.fixture(scope="module")
def card():
    return make_target("card")[0]


@pytest.fixture(scope="module")
def plain(card, bench):
    view = bench.view_of(card, SIZE, 10, 5)
    return view, bench.raster_of(card)


def _codes(bench, card, plain, **light):
    view, raster = plain
    return bench.expose(card, light.pop("view", view), SIZE, raster=raster, **light)


def _spot(codes, centre, radius, strength):
    y, x = np.mgrid[: codes.shape[0], : codes.shape[1]]
    glow = strength * np.exp(-((x - centre[0]) ** 2 + (y - centre[1]) ** 2) / (2 * radius**2))
    return np.clip(codes + glow[..., None], 0, 255).astype(np.uint8)


def _cover(codes, share):
    covered = codes.copy()
    covered[:, : int(codes.shape[1] * share)] = (90, 70, 50)
    return covered


def _smear(codes, length):
    kernel = np.zeros((length, length), np.float32)
    kernel[length // 2] = 1.0 / length
    return cv2.filter2D(codes, -1, kernel)


def _lit(codes, gains):
    linear = (codes / 255.0) ** 2.2 * gains
    return np.round(np.clip(linear, 0, 1) ** (1 / 2.2) * 255).astype(np.uint8)


def _false(codes):
    r, g, b = np.moveaxis(codes.astype(int), -1, 0)
    return np.stack([np.abs(r - b), np.maximum(r, g), (g + b) // 2], axis=-1).astype(np.uint8)


SPOILED = {
    "no target": (lambda b, c, p: np.full((900, 1200, 3), (90, 70, 50), np.uint8), "target"),
    "noise alone": (
        lambda b, c, p: np.random.default_rng(1).integers(0, 256, (900, 1200, 3), dtype=np.uint8),
        "target",
    ),
    "mirrored": (lambda b, c, p: np.ascontiguousarray(_codes(b, c, p)[:, ::-1]), "target"),
    "mostly covered": (lambda b, c, p: _cover(_codes(b, c, p), 0.85), "target"),
    "blurred": (lambda b, c, p: _codes(b, c, p, blur=4.0), "focus"),
    "badly blurred": (lambda b, c, p: _codes(b, c, p, blur=12.0), "focus"),
    "shaken": (lambda b, c, p: _smear(_codes(b, c, p), 9), "focus"),
    "badly shaken": (lambda b, c, p: _smear(_codes(b, c, p), 41), "focus"),
    "overexposed": (lambda b, c, p: _codes(b, c, p, gain=2.5), "clipping"),
    "badly overexposed": (lambda b, c, p: _codes(b, c, p, gain=8.0), "clipping"),
    "underexposed": (lambda b, c, p: _codes(b, c, p, gain=0.04), "exposure"),
    "badly underexposed": (lambda b, c, p: _codes(b, c, p, gain=0.004), "clipping"),
    "veiled": (lambda b, c, p: _codes(b, c, p, gain=0.8, glare=0.08), "glare"),
    "badly veiled": (lambda b, c, p: _codes(b, c, p, gain=0.6, glare=0.2), "glare"),
    "unevenly lit": (lambda b, c, p: _codes(b, c, p, shade=1.1, gain=0.6), "shading"),
    "far too tilted": (
        lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 52, 0)),
        "tilt",
    ),
    "too far away": (
        lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 0, 0, fill=0.12)),
        "target",
    ),
    "red light": (lambda b, c, p: _lit(_codes(b, c, p), (1.0, 0.12, 0.03)), "colour cast"),
    "no colour": (
        lambda b, c, p: np.repeat(_codes(b, c, p).mean(axis=2, keepdims=True), 3, axis=2).astype(
            np.uint8
        ),
        "characterisation",
    ),
    "false colours": (lambda b, c, p: _false(_codes(b, c, p)), "characterisation"),
    "a lamp in it": (lambda b, c, p: _spot(_codes(b, c, p), (600, 400), 260, 220), "clipping"),
}


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_photograph_is_refused_for_the_right_reason(bench, card, plain, tmp_path, name):
    spoil, gate = SPOILED[name]
    photo = bench.write_png(tmp_path / "p.png", spoil(bench, card, plain))
    capture = measure(photo, card, (BADGE,))
    failed = {g.gate: g.advice for g in capture.gates if not g.ok}
    assert gate in failed, failed
    assert all(failed.values())
    assert not capture.ok


def test_the_same_photograph_unspoiled_is_evidence(bench, card, plain, tmp_path):
    photo = bench.write_png(tmp_path / "p.png", _codes(bench, card, plain))
    capture = measure(photo, card, (BADGE,))
    assert capture.ok, [g for g in capture.gates if not g.ok]


def test_one_fault_does_not_hide_another(bench, card, plain, tmp_path):
    codes = _codes(bench, card, plain, gain=2.5, blur=4.0)
    capture = measure(bench.write_png(tmp_path / "p.png", codes), card, (BADGE,))
    assert {"focus", "clipping"} <= {g.gate for g in capture.gates if not g.ok}
