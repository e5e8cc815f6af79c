"""What the artwork reader makes of a decal, beside what an SVG renderer makes of the same file."""

import io
import re
from pathlib import Path

import numpy as np
import pytest
import resvg_py
from PIL import Image

from livery.artwork import read_artwork
from livery.artwork.model import Drawn

DECALS = sorted((Path(__file__).parents[2] / "artwork_demo" / "decals").glob("*.svg"))
WIDTH_PX = 500


def paint(svg):
    data = resvg_py.svg_to_bytes(svg_string=svg, width=WIDTH_PX, dpi=96)
    picture = Image.open(io.BytesIO(bytes(data))).convert("RGBA")
    ground = Image.new("RGBA", picture.size, "white")
    return np.asarray(Image.alpha_composite(ground, picture).convert("RGB"), dtype=np.int16)


@pytest.mark.parametrize("path", DECALS, ids=lambda path: path.stem)
def test_the_reader_and_a_renderer_see_the_same(path, tmp_path):
    text = path.read_text(encoding="utf-8")
    colours = dict(re.findall(r'data-ink="(\w+)"[^>]*?(?:fill|stroke)="(#\w+)"', text))
    head = re.search(r"<svg[^>]*>", text)[0]
    source = re.sub(r"<text.*?</text>", "", re.sub(r"<path data-part[^>]*>", "", text))
    shapes = "".join(
        f'<path d="{item.path.svg_d()}" fill="{colours[item.ink]}" fill-rule="{item.path.rule}"/>'
        for item in read_artwork(path).items
        if isinstance(item, Drawn)
    )
    expected, actual = paint(source), paint(f"{head}{shapes}</svg>")
    assert (expected.min(axis=2) < 128).mean() > 0.2  # something is drawn
    differs = np.abs(expected - actual).max(axis=2) > 60
    if differs.mean() >= 2e-4:
        for name, pixels in (("expected", expected), ("actual", actual)):
            Image.fromarray(pixels.astype(np.uint8)).save(tmp_path / f"{path.stem}-{name}.png")
    assert differs.mean() < 2e-4, f"pictures are in {tmp_path}"
