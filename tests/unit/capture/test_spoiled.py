"""Spoiled photographs, each fault in several degrees: each is refused, and for the right reason."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from livery.capture import Known, make_target, measure
from livery.capture.duplicate import fingerprint_of
from livery.capture.model import Region
from livery.capture.photograph import read_photograph
from livery.colour import decode_srgb, encode_srgb

SIZE = (1200, 900)
BADGE_MM = (66, 54, 84, 72)


def _box(x0, y0, x1, y1, name="badge"):
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=float)
    return Region(name, "tarn", "bat", polygon_mm=corners)


BADGE = _box(*BADGE_MM)


@pytest.fixture(scope="module")
def card():
    return make_target("card")[0]


@pytest.fixture(scope="module")
def plain(card, bench):
    view = bench.view_of(card, SIZE, 10, 5)
    raster = bench.raster_of(card)
    x0, y0, x1, y1 = (8 * side for side in BADGE_MM)
    raster[y0:y1, x0:x1] = (0.06, 0.12, 0.2)
    return view, raster, bench.expose(card, view, SIZE, raster=raster)


def _codes(bench, card, plain, **light):
    """The plain photograph, or another by another light or view."""
    view, raster, codes = plain
    if not light:
        return codes.copy()
    return bench.expose(card, light.pop("view", view), SIZE, raster=raster, **light)


def _spot(codes, centre, radius, strength):
    y, x = np.mgrid[: codes.shape[0], : codes.shape[1]]
    glow = strength * np.exp(-((x - centre[0]) ** 2 + (y - centre[1]) ** 2) / (2 * radius**2))
    return np.clip(codes + glow[..., None], 0, 255).astype(np.uint8)


def _cover(codes, share):
    covered = codes.copy()
    covered[:, : int(codes.shape[1] * share)] = (90, 70, 50)
    return covered


def _smear(codes, length, axis=1):
    kernel = np.zeros((length, length), np.float32)
    kernel[(length // 2, slice(None)) if axis else (slice(None), length // 2)] = 1.0 / length
    return cv2.filter2D(codes, -1, kernel)


def _out_of_focus(codes, radius):
    y, x = np.mgrid[-radius : radius + 1, -radius : radius + 1]
    disc = (x * x + y * y <= radius * radius).astype(np.float32)
    return cv2.filter2D(codes, -1, disc / disc.sum())


def _lit(codes, gains):
    linear = (codes / 255.0) ** 2.2 * gains
    return np.round(np.clip(linear, 0, 1) ** (1 / 2.2) * 255).astype(np.uint8)


def _two_lights(codes, share, axis=1):
    """A warmer light at one end than at the other, by that share of red over blue."""
    ramp = np.linspace(-share / 2, share / 2, codes.shape[axis])
    gains = np.stack([1 + ramp, np.ones_like(ramp), 1 - ramp], axis=-1)
    return _lit(codes, gains[None] if axis else gains[:, None])


def _false(codes):
    r, g, b = np.moveaxis(codes.astype(int), -1, 0)
    return np.stack([np.abs(r - b), np.maximum(r, g), (g + b) // 2], axis=-1).astype(np.uint8)


def _grey(codes, share=1.0):
    grey = codes.mean(axis=2, keepdims=True)
    return np.round(share * grey + (1.0 - share) * codes).astype(np.uint8)


def _squeezed(codes, quality):
    data = cv2.imencode(".jpg", codes, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
    return np.ascontiguousarray(cv2.imdecode(data, cv2.IMREAD_COLOR))


def _wavy(codes, depth):
    y, x = np.mgrid[: codes.shape[0], : codes.shape[1]].astype(np.float32)
    across = x + depth * np.sin(y / 60.0, dtype=np.float32)
    down = y + depth * np.sin(x / 75.0, dtype=np.float32)
    return cv2.remap(codes, across, down, cv2.INTER_LINEAR)


def _patched(codes, view, boxes_mm, colour):
    """Things laid over the picture: boxes in the target's mm."""
    covered = codes.copy()
    for x0, y0, x1, y1 in boxes_mm:
        corners = np.array([[(x0, y0), (x1, y0), (x1, y1), (x0, y1)]], dtype=float)
        px = cv2.perspectiveTransform(corners, view)
        cv2.fillPoly(covered, np.round(px).astype(np.int32), colour)
    return covered


def _marker_boxes(card, keep):
    return [
        (m.x_mm - m.size_mm, m.y_mm - m.size_mm, m.x_mm + m.size_mm, m.y_mm + m.size_mm)
        for m in card.markers[keep:]
    ]


def _glare_on(codes, view, place_mm, radius, strength):
    centre = cv2.perspectiveTransform(np.array([[place_mm]], dtype=float), view)[0, 0]
    return _spot(codes, centre, radius, strength)


def _toned(codes, power):
    return np.round(255.0 * (codes / 255.0) ** power).astype(np.uint8)


def _toned_apart(codes, share):
    """As HDR modes do: surroundings' light is evened out by that share."""
    linear = decode_srgb(codes / 255.0).astype(np.float32)
    around = cv2.GaussianBlur(np.log(linear.mean(axis=2) + 0.01), (0, 0), 0.05 * codes.shape[1])
    toned = linear * np.exp(-share * (around - around.mean()))[..., None]
    return np.round(255.0 * encode_srgb(np.clip(toned, 0.0, 1.0))).astype(np.uint8)


def _few_levels(codes, count):
    step = 256 // count
    return (codes // step * step + step // 2).astype(np.uint8)


# Name to how it is spoiled (given the bench, the card, the view and raster) and the gates one of
# which must tell.
SPOILED = {
    "no target": (lambda b, c, p: np.full((900, 1200, 3), (90, 70, 50), np.uint8), "target"),
    "noise alone": (
        lambda b, c, p: np.random.default_rng(1).integers(0, 256, (900, 1200, 3), dtype=np.uint8),
        "target",
    ),
    "black": (lambda b, c, p: np.zeros((900, 1200, 3), np.uint8), "target"),
    "white": (lambda b, c, p: np.full((900, 1200, 3), 255, np.uint8), "target"),
    "mirrored": (lambda b, c, p: np.ascontiguousarray(_codes(b, c, p)[:, ::-1]), "target"),
    "a negative": (lambda b, c, p: 255 - _codes(b, c, p), "target|characterisation"),
    "half covered": (lambda b, c, p: _cover(_codes(b, c, p), 0.62), "characterisation"),
    "mostly covered": (lambda b, c, p: _cover(_codes(b, c, p), 0.85), "target"),
    "three markers left": (
        lambda b, c, p: _patched(_codes(b, c, p), p[0], _marker_boxes(c, 3), (90, 70, 50)),
        "target",
    ),
    "one marker left": (
        lambda b, c, p: _patched(_codes(b, c, p), p[0], _marker_boxes(c, 1), (90, 70, 50)),
        "target",
    ),
    "cropped to a corner": (lambda b, c, p: _codes(b, c, p)[:450, :600], "target|patches"),
    "crumpled": (lambda b, c, p: _wavy(_codes(b, c, p), 9.0), "geometry|target"),
    "badly crumpled": (lambda b, c, p: _wavy(_codes(b, c, p), 22.0), "geometry|target"),
    "blurred a little": (lambda b, c, p: _codes(b, c, p, blur=3.2), "focus"),
    "blurred": (lambda b, c, p: _codes(b, c, p, blur=4.0), "focus"),
    "blurred more": (lambda b, c, p: _codes(b, c, p, blur=7.0), "focus"),
    "badly blurred": (lambda b, c, p: _codes(b, c, p, blur=12.0), "focus"),
    "out of focus": (lambda b, c, p: _out_of_focus(_codes(b, c, p), 6), "focus"),
    "far out of focus": (lambda b, c, p: _out_of_focus(_codes(b, c, p), 14), "focus"),
    "shaken": (lambda b, c, p: _smear(_codes(b, c, p), 9), "focus"),
    "shaken upwards": (lambda b, c, p: _smear(_codes(b, c, p), 9, 0), "focus"),
    "shaken more": (lambda b, c, p: _smear(_codes(b, c, p), 17), "focus"),
    "badly shaken": (lambda b, c, p: _smear(_codes(b, c, p), 41), "focus"),
    "overexposed a little": (lambda b, c, p: _codes(b, c, p, gain=1.9), "clipping"),
    "overexposed": (lambda b, c, p: _codes(b, c, p, gain=2.5), "clipping"),
    "badly overexposed": (lambda b, c, p: _codes(b, c, p, gain=8.0), "clipping"),
    "underexposed a little": (lambda b, c, p: _codes(b, c, p, gain=0.07), "exposure"),
    "underexposed": (lambda b, c, p: _codes(b, c, p, gain=0.04), "exposure"),
    "badly underexposed": (lambda b, c, p: _codes(b, c, p, gain=0.004), "clipping"),
    "veiled a little": (lambda b, c, p: _codes(b, c, p, gain=0.85, glare=0.06), "glare"),
    "veiled": (lambda b, c, p: _codes(b, c, p, gain=0.8, glare=0.08), "glare"),
    "badly veiled": (lambda b, c, p: _codes(b, c, p, gain=0.6, glare=0.2), "glare"),
    "unevenly lit": (lambda b, c, p: _codes(b, c, p, shade=1.1, gain=0.6), "shading"),
    "lit from one side": (lambda b, c, p: _codes(b, c, p, shade=1.5, gain=0.55), "shading"),
    "too tilted": (lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 45, 0)), "tilt"),
    "far too tilted": (lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 52, 0)), "tilt"),
    "tilted sideways": (
        lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 48, 20, azimuth_deg=80)),
        "tilt",
    ),
    "rather far away": (
        lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 0, 0, fill=0.17)),
        "scale|focus|target",
    ),
    "too far away": (
        lambda b, c, p: _codes(b, c, p, view=b.view_of(c, SIZE, 0, 0, fill=0.12)),
        "target",
    ),
    "red light": (lambda b, c, p: _lit(_codes(b, c, p), (1.0, 0.12, 0.03)), "colour cast"),
    "blue light": (lambda b, c, p: _lit(_codes(b, c, p), (0.05, 0.2, 1.0)), "colour cast"),
    "a lamp beside the window": (
        lambda b, c, p: _two_lights(_codes(b, c, p), 0.1),
        "one light",
    ),
    "two lamps": (lambda b, c, p: _two_lights(_codes(b, c, p), 0.2, axis=0), "one light"),
    "a lamp and a tube": (lambda b, c, p: _two_lights(_codes(b, c, p), 0.4), "one light"),
    "green light": (lambda b, c, p: _lit(_codes(b, c, p), (0.06, 1.0, 0.06)), "colour cast"),
    "no colour": (lambda b, c, p: _grey(_codes(b, c, p)), "characterisation"),
    "nearly no colour": (lambda b, c, p: _grey(_codes(b, c, p), 0.98), "characterisation"),
    "toned apart a little": (lambda b, c, p: _toned_apart(_codes(b, c, p), 0.1), "tone"),
    "toned apart": (lambda b, c, p: _toned_apart(_codes(b, c, p), 0.2), "tone"),
    "badly toned apart": (lambda b, c, p: _toned_apart(_codes(b, c, p), 0.5), "tone"),
    "false colours": (lambda b, c, p: _false(_codes(b, c, p)), "characterisation"),
    "six levels": (lambda b, c, p: _few_levels(_codes(b, c, p), 6), "characterisation|clipping"),
    "squeezed": (lambda b, c, p: _squeezed(_codes(b, c, p), 4), "characterisation|target|focus"),
    "squeezed flat": (
        lambda b, c, p: _squeezed(_codes(b, c, p), 1),
        "characterisation|target|focus",
    ),
    "very noisy": (
        lambda b, c, p: _codes(b, c, p, noise=0.6, gain=0.5),
        "clipping|target|characterisation",
    ),
    "nothing but noise": (
        lambda b, c, p: _codes(b, c, p, noise=2.0, gain=0.5),
        "clipping|target|characterisation",
    ),
    "a lamp in it": (lambda b, c, p: _spot(_codes(b, c, p), (600, 400), 260, 220), "clipping"),
    "a lamp in a corner": (
        lambda b, c, p: _spot(_codes(b, c, p, gain=0.7), (380, 260), 110, 160),
        "clipping|reflexes|shading|characterisation",
    ),
    "film left on": (
        lambda b, c, p: _spot(_codes(b, c, p, gain=0.6, glare=0.04), (700, 420), 200, 90),
        "glare|reflexes|shading|characterisation|clipping",
    ),
    "a mirrored lamp on the badge": (
        lambda b, c, p: _glare_on(_codes(b, c, p), p[0], (79, 67), 14, 240),
        "clipping of badge|reflexes in badge|evenness of badge|one colour in badge",
    ),
    "a soft gloss on the badge": (
        lambda b, c, p: _glare_on(_codes(b, c, p), p[0], (78, 66), 25, 60),
        "evenness of badge|reflexes in badge|one colour in badge",
    ),
    "a shadow across the badge": (
        lambda b, c, p: _patched(_codes(b, c, p), p[0], [(66, 54, 73, 72)], (25, 37, 50)),
        "one colour in badge|evenness of badge",
    ),
    "the badge burnt out": (
        lambda b, c, p: _patched(_codes(b, c, p), p[0], [BADGE_MM], (255, 254, 200)),
        "clipping of badge",
    ),
    "the badge in the dark": (
        lambda b, c, p: _patched(_codes(b, c, p), p[0], [BADGE_MM], (0, 1, 0)),
        "clipping of badge",
    ),
}

# Regions that cannot be measured in a good photograph, and the gate that must tell.
STRAY = {
    "in two colours": (_box(60, 60, 74, 66), "one colour in badge"),
    "outside the picture": (_box(900, 900, 920, 920), "place of badge"),
    "too small": (_box(70, 60, 70.4, 60.4), "place of badge"),
    "without area": (_box(70, 60, 70, 60), "place of badge"),
}


def _failed(capture):
    return {gate.gate: gate.advice for gate in capture.gates if not gate.ok}


@pytest.mark.parametrize("name", SPOILED)
def test_a_spoiled_photograph_is_refused_for_the_right_reason(bench, card, plain, tmp_path, name):
    spoil, telling = SPOILED[name]
    photo = bench.write_png(tmp_path / "p.png", spoil(bench, card, plain))
    capture = measure(photo, card, (BADGE,))
    failed = _failed(capture)
    assert set(telling.split("|")) & set(failed), failed
    assert all(failed.values())
    assert not capture.ok
    assert all(sample.withheld for sample in capture.samples)
    assert capture.photo_ok == ("badge" in telling)
    assert ("badge" in capture.headline) == ("badge" in telling)


@pytest.mark.parametrize("name", STRAY)
def test_a_stray_region_is_refused_by_itself(bench, card, plain, tmp_path, name):
    region, gate = STRAY[name]
    photo = bench.write_png(tmp_path / "p.png", _codes(bench, card, plain))
    capture = measure(photo, card, (region, replace(BADGE, name="other")))
    assert gate in _failed(capture)
    assert {g.region for g in capture.gates if not g.ok} == {"badge"}
    assert [sample.name for sample in capture.samples if not sample.withheld] == ["other"]
    assert capture.headline == "evidence, but not for badge"


def test_a_target_of_another_print_is_told(bench, card, plain, tmp_path):
    photo = bench.write_png(tmp_path / "p.png", _codes(bench, card, plain))
    turned = [patch.lab for patch in card.patches[7:] + card.patches[:7]]
    mixed = replace(
        card,
        patches=tuple(replace(p, lab=lab) for p, lab in zip(card.patches, turned, strict=True)),
    )
    assert "characterisation" in _failed(measure(photo, mixed, (BADGE,)))
    chart, _ = make_target("chart")
    strangers = _failed(measure(photo, chart, (BADGE,)))
    assert "target" in strangers


@pytest.mark.parametrize("copy", ["the file", "at another quality", "smaller", "brighter"])
def test_a_photograph_already_had_is_told(bench, card, plain, tmp_path, copy):
    codes = _codes(bench, card, plain)
    first = bench.write_png(tmp_path / "first.png", codes)
    had = read_photograph(first)
    known = [Known("monday's photograph", had.sha256, fingerprint_of(had))]
    if copy == "at another quality":
        again = bench.write_jpeg(tmp_path / "again.jpg", codes, 70)
    elif copy == "smaller":
        half = cv2.resize(codes, (1000, 750), interpolation=cv2.INTER_AREA)
        again = bench.write_png(tmp_path / "again.png", half)
    elif copy == "brighter":
        again = bench.write_png(tmp_path / "again.png", _toned(codes, 0.9))
    else:
        again = first
    gate = next(g for g in measure(again, card, (), known=known).gates if g.gate == "duplicate")
    assert not gate.ok
    assert "monday's photograph" in gate.advice


def test_a_photograph_taken_anew_is_no_copy(bench, card, plain, tmp_path):
    had = read_photograph(bench.write_png(tmp_path / "a.png", _codes(bench, card, plain)))
    moved = _codes(bench, card, plain, view=bench.view_of(card, SIZE, 12, 9))
    photo = bench.write_png(tmp_path / "b.png", moved)
    known = [Known("before", had.sha256, fingerprint_of(had)), Known("file only", "0" * 64)]
    assert measure(photo, card, (BADGE,), known=known).ok


@pytest.mark.parametrize("power", [0.8, 1.25, 2.2])
def test_a_tone_curve_beyond_the_files_word_is_undone_or_told(bench, card, plain, tmp_path, power):
    good = measure(bench.write_png(tmp_path / "a.png", _codes(bench, card, plain)), card, (BADGE,))
    toned = bench.write_png(tmp_path / "b.png", _toned(_codes(bench, card, plain), power))
    capture = measure(toned, card, (BADGE,))
    away = capture.samples[0].lab - good.samples[0].lab
    inside = away @ np.linalg.solve(capture.samples[0].cov, away) < 11.34
    assert inside or not capture.ok


def test_the_same_photograph_unspoiled_is_evidence(bench, card, plain, tmp_path):
    photo = bench.write_png(tmp_path / "p.png", _codes(bench, card, plain))
    capture = measure(photo, card, (BADGE,))
    assert capture.ok, [g for g in capture.gates if not g.ok]


def test_one_fault_does_not_hide_another(bench, card, plain, tmp_path):
    codes = _codes(bench, card, plain, gain=2.5, blur=4.0)
    capture = measure(bench.write_png(tmp_path / "p.png", codes), card, (BADGE,))
    assert {"focus", "clipping"} <= {g.gate for g in capture.gates if not g.ok}


def test_a_thumbnail_is_told_to_be_too_small(card, tmp_path):
    path = tmp_path / "thumb.png"
    cv2.imwrite(str(path), np.full((90, 120, 3), 90, np.uint8))
    failed = [gate.gate for gate in measure(path, card).gates if not gate.ok]
    assert "scale" in failed
    cv2.imwrite(str(path), np.full((900, 1200, 3), 90, np.uint8))
    assert "scale" not in [gate.gate for gate in measure(path, card).gates]
