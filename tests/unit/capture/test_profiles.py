"""Photographs with the profiles of phones and cameras are linearised in their own space."""

import io

import numpy as np
import pytest
from icc import matrix_profile, parametric, sampled
from PIL import Image
from targets import measured_target

from livery.capture import measure, read_photograph
from livery.capture.linear_light import linear_of
from livery.capture.model import Region
from livery.colour import ciede2000, decode_srgb, encode_srgb, lab_to_xyz, xyz_to_srgb_linear

SIZE = (1000, 750)
INK = (45.0, 35.0, 20.0)
GAMMA = 563 / 256  # of Adobe RGB
# Primaries as XYZ under D50, red, green, blue; from memory, as their profiles give them.
SPACES = {
    "Display P3": ((0.5151, 0.2412, -0.0011), (0.2919, 0.6922, 0.0419), (0.1571, 0.0666, 0.7841)),
    "Adobe RGB": ((0.6097, 0.3111, 0.0195), (0.2053, 0.6257, 0.0609), (0.1492, 0.0632, 0.7446)),
}


def _profile(name):
    """A matrix and curves profile: sRGB's curve for Display P3, a gamma for Adobe RGB."""
    if name == "Display P3":
        curve = parametric(3, (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045))
    else:
        curve = sampled([round(GAMMA * 256)])
    return matrix_profile(SPACES[name], curve)


def _encoded(name, linear):
    """Linear sRGB as 8-bit codes of the space."""
    to_xyz = np.stack([_srgb_to_xyz(row) for row in np.eye(3)], axis=1)
    own = np.clip(linear @ (np.linalg.inv(np.array(SPACES[name]).T) @ to_xyz).T, 0.0, 1.0)
    coded = encode_srgb(own) if name == "Display P3" else own ** (1 / GAMMA)
    return np.round(coded * 255).astype(np.uint8)


def _srgb_to_xyz(rgb):
    matrix = np.linalg.inv(np.stack([xyz_to_srgb_linear(row) for row in np.eye(3)], axis=1))
    return matrix @ rgb


@pytest.mark.parametrize("name", SPACES)
def test_codes_become_light_by_the_profiles_curve(tmp_path, name):
    codes = np.random.default_rng(2).integers(0, 256, (90, 120, 3), dtype=np.uint8)
    path = tmp_path / "p.png"
    Image.fromarray(codes).save(path, icc_profile=_profile(name))
    light = linear_of(read_photograph(path))(codes)
    share = codes / 255.0
    wanted = decode_srgb(share) if name == "Display P3" else share**GAMMA
    assert np.abs(light - wanted).max() < 3e-3


@pytest.mark.parametrize("kind", ["png", "jpg", "tif"])
@pytest.mark.parametrize("name", SPACES)
def test_an_ink_measures_the_same_in_every_space(bench, tmp_path, name, kind):
    target = measured_target("card")
    raster = bench.raster_of(target)
    raster[432:576, 528:672] = xyz_to_srgb_linear(lab_to_xyz(INK))
    codes = bench.expose(target, bench.view_of(target, SIZE, 10, 5), SIZE, raster=raster)
    stream = io.BytesIO()
    more = {"quality": 95} if kind == "jpg" else {}
    form = {"png": "PNG", "jpg": "JPEG", "tif": "TIFF"}[kind]
    picture = Image.fromarray(_encoded(name, decode_srgb(codes / 255.0)))
    picture.save(stream, form, icc_profile=_profile(name), **more)
    path = tmp_path / f"p.{kind}"
    path.write_bytes(stream.getvalue())
    corners = np.array([(66.5, 54.5), (83.5, 54.5), (83.5, 71.5), (66.5, 71.5)])
    capture = measure(path, target, (Region("ink", "tarn", "bat", corners),))
    assert capture.ok, [gate for gate in capture.gates if not gate.ok]
    assert ciede2000(capture.samples[0].lab, INK) < 0.7
