"""Kit as pictures: what a person would see, sampled as letters."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from livery.colour import lab_to_srgb8
from livery.drawing import Drawing, Layer, LayerKind, Page
from livery.kit import (
    BatView,
    build_bat,
    build_gloves,
    build_pads,
    draw_item,
    item_bounds,
    place_on_page,
)
from livery.kit.drawing_style import MATERIALS
from livery.output import render_png
from livery.scheme import bat_sizes
from livery.scheme.model import BatModel, Hand, ItemKind, Panel, SoftKit

LEGEND = {
    ".": (100.0, 0.0, 0.0),  # paper
    "g": MATERIALS["grip"],
    "w": MATERIALS["willow"],
    "c": MATERIALS["cane"],
    "r": MATERIALS["ridge"],
    "T": (36.0, -14.0, -14.0),  # tarn
    "E": (57.0, 50.0, 50.0),  # ember
    "o": (75.0, 0.0, 0.0),  # plain, darker here than by default so that it is not paper
}
FILLS = {"tarn": LEGEND["T"], "ember": LEGEND["E"], "plain": LEGEND["o"]}
PX_PER_MM = 3.0
MARGIN_MM = 5.0

# A question mark is a cell on a boundary, which may fall either way.
BAT = {
    BatView.FACE: """
...ggg...
...ggg...
...ggg...
...ggg...
...ggg...
...ggg...
wwwwcwwww
wwwwcwwww
wwwwwwwww
wwwwwwwww
wwwwwwwww
wwwwwwwww
wwwwwwwww
wwwwwwwww
wwwwwwwww
wwwwwwwww
""",
    BatView.BACK: """
...ggg...
...ggg...
...ggg...
...ggg...
...ggg...
...ggg...
.wwwcwww.
wwwwcwwww
wwwwrwwww
wwwwrwwww
wwwwrwwww
wwwwrwwww
wwwwrwwww
wwwwrwwww
.wwwrwww.
.wwwrwww.
""",
    BatView.EDGE_LEFT: """
...ggg.
...ggg.
...ggg.
...ggg.
...ggg.
...ggg.
..rrwww
..rrwww
.rrwwww
.rrwwww
.rrwwww
rrrwwww
.rrwwww
.rrwwww
..rrwww
....www
""",
    BatView.EDGE_RIGHT: """
.ggg...
.ggg...
.ggg...
.ggg...
.ggg...
.ggg...
wwwrr..
wwwrr..
wwwwrr.
wwwwrr.
wwwwrr.
wwwwrrr
wwwwrr.
wwwwrr.
wwwrr..
www....
""",
}
LEFT_GLOVE = """
........oo.........
....ooooTT.ooo.....
.oo.oooooo.oo......
.oo.oooooo.oo......
.o?ooooooo.oT......
.oooToooooToo...EE.
..ooToooooooo.EETE.
..oooooooooooEEEE..
..ooooooooooooEE...
..oooooooooooo.....
...oooooooooo......
...TTTTTTTTT.......
...TTTTTTTTT.......
..TTTTTTTTTT.......
..TTTTTTTTTT.......
..TTTTTTTTTT.......
"""
RIGHT_GLOVE = """
.........oo........
.....ooo.?Toooo....
....?Eoo.oooooo.oo.
.....Eoo.oooooo.oo.
.....ETo.ooooooo?o.
.EE..EooToooooTooo.
.ETEE.ooooooooToo..
..EEEEooooooooooo..
...EEoooooooooooo..
.....oooooooooooo..
......oooooooooo...
.......TTTTTTTTT...
.......TTTTTTTTT...
.......TTTTTTTTTT..
.......TTTTTTTTTT..
.......TTTTTTTTTT..
"""
LEFT_PAD = """
...ooooooo.....
..ooooooooo....
..oooooooooo...
..oooooooooo...
.TTTTTTTTTTT...
.TTTTTTTTTTT...
.TTTTTTTTTTT...
.EoooooooooEE..
.EoooooooooEEE.
EEoooooooooEEEE
EEoooooooooEEEE
EEoooooooooEEEE
.EoooooooooEEE.
.EoooooooooEE..
..EEEEEEEEEE...
.EEE.....EEE...
"""
RIGHT_PAD = """
.....ooooooo...
....ooooooooo..
...oooooooooo..
...oooooooooo..
...TTTTTTTTTTT.
...TTTTTTTTTTT.
...TTTTTTTTTTT.
..EEoooooooooE.
.EEEoooooooooE.
EEEEoooooooooEE
EEEEoooooooooEE
EEEEoooooooooEE
.EEEoooooooooE.
..EEoooooooooE.
...EEEEEEEEEE..
...EEE.....EEE.
"""


def letters(item, view, columns, rows):
    """The picture of an item, sampled at the middle of each cell of a grid."""
    x0, y0, x1, y1 = item_bounds(item, view)
    place = place_on_page(MARGIN_MM - x0, MARGIN_MM + y1)
    elements = draw_item(item, place, view, FILLS)
    width, height = x1 - x0 + 2 * MARGIN_MM, y1 - y0 + 2 * MARGIN_MM
    page = Page(width, height, (Layer("kit", LayerKind.INFORMATION, elements),))
    png = render_png(Drawing("kit", (page,)), px_per_mm=PX_PER_MM)
    pixels = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"), dtype=float)
    codes = {key: np.asarray(lab_to_srgb8(lab), dtype=float) for key, lab in LEGEND.items()}
    found = []
    for row in range(rows):
        y = int((row + 0.5) / rows * pixels.shape[0])
        line = ""
        for column in range(columns):
            x = int((column + 0.5) / columns * pixels.shape[1])
            # The median of a few pixels sees past thin lines.
            seen = np.median(pixels[y - 3 : y + 4, x - 3 : x + 4].reshape(-1, 3), axis=0)
            line += min(codes, key=lambda key: float(np.abs(seen - codes[key]).sum()))
        found.append(line)
    return "\n".join(found), png


def assert_looks(item, view, expected, folder: Path):
    wanted = expected.strip("\n").split("\n")
    found, png = letters(item, view, len(wanted[0]), len(wanted))
    same = all(
        want in ("?", have)
        for want, have in zip("".join(wanted), found.replace("\n", ""), strict=True)
    )
    if not same:
        (folder / "actual.png").write_bytes(png)
        shown = f"{folder}/actual.png looks like\n{found}\ninstead of\n"
        pytest.fail(shown + "\n".join(wanted))


@pytest.mark.parametrize("view", list(BatView))
def test_a_bat_looks_like_a_bat(view, tmp_path):
    dims = bat_sizes()["short-handle"]
    bat = build_bat(BatModel("sedge", "Sedge", ("short-handle",), (dims,)), "short-handle")
    assert_looks(bat, view, BAT[view], tmp_path)


def test_gloves_look_like_a_pair_of_gloves(tmp_path):
    panels = (Panel("cuff", "tarn", "mesh"), Panel("thumb", "ember", "leather"))
    soft = SoftKit("gloves", "Gloves", ItemKind.GLOVE, ("men",), panels)
    left, right = build_gloves(soft, "men", Hand.RIGHT)
    assert_looks(left, BatView.FACE, LEFT_GLOVE, tmp_path)
    assert_looks(right, BatView.FACE, RIGHT_GLOVE, tmp_path)


def test_pads_look_like_a_pair_of_pads(tmp_path):
    panels = (Panel("knee-roll", "tarn", "fabric"), Panel("wing", "ember", "fabric"))
    soft = SoftKit("pads", "Pads", ItemKind.PAD, ("men",), panels)
    left, right = build_pads(soft, "men", Hand.RIGHT)
    assert_looks(left, BatView.FACE, LEFT_PAD, tmp_path)
    assert_looks(right, BatView.FACE, RIGHT_PAD, tmp_path)
