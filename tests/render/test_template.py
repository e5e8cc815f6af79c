"""The full-size template, printed and measured: right to a tenth of a millimetre."""

import subprocess

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from livery.jobs.survey import Survey
from livery.output import render_pdf
from livery.proof import template_drawing

PX_PER_MM = 20.0
DPI = PX_PER_MM * 25.4


@pytest.fixture(scope="module")
def sheet(demo: Survey, tmp_path_factory: pytest.TempPathFactory, pdftoppm: str) -> np.ndarray:
    """The first sheet, the bat's face, as grey values; row 0 at the top."""
    order = demo.scheme.orders[0]
    folder = tmp_path_factory.mktemp("template")
    (folder / "t.pdf").write_bytes(
        render_pdf(template_drawing(demo.scheme, order, demo.of_order(order)))
    )
    command = [pdftoppm, "-r", str(DPI), "-gray", "-l", "1", "-singlefile", "t.pdf", "t"]
    subprocess.run(command, cwd=folder, check=True)
    return np.asarray(Image.open(folder / "t.pgm"))


def _middles(dark: np.ndarray) -> list[float]:
    """Middle of each run of dark pixels, mm."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    return [(a + b) / 2 / PX_PER_MM for a, b in zip(edges[::2], edges[1::2], strict=True)]


def test_both_rules_measure_a_hundred_millimetres(sheet: np.ndarray) -> None:
    above = sheet.shape[0] - int(17.5 * PX_PER_MM)  # through the ticks, clear of the rule
    across = _middles(sheet[above, : int(140 * PX_PER_MM)] < 128)
    assert across[-1] - across[0] == pytest.approx(100.0, abs=0.1)
    along = _middles(sheet[:, int(4.6 * PX_PER_MM)] < 128)
    assert along[-1] - along[0] == pytest.approx(100.0, abs=0.1)


def test_windows_are_as_large_as_their_decals_and_where_they_belong(
    demo: Survey, sheet: np.ndarray
) -> None:
    order = demo.scheme.orders[0]
    bat = next(one for one in demo.of_order(order) if one.item.dims is not None)
    fill = np.bincount(sheet[(sheet > 205) & (sheet < 240)]).argmax()
    pieces, _ = ndimage.label(sheet == fill)
    sizes = np.bincount(pieces.ravel())
    found_at = ndimage.find_objects(pieces)
    windows = [found_at[n - 1] for n in range(1, len(sizes)) if sizes[n] > 100 * PX_PER_MM**2]
    windows.sort(key=lambda window: window[0].start)
    placements = sorted((p for p in bat.placements if p.surface == "face"), key=lambda p: p.box[1])
    outline = bat.item.surface("face").outline.bounds
    assert len(windows) == len(placements)
    for (rows, columns), placement in zip(windows, placements, strict=True):
        box = placement.box
        for span, size in ((columns, box[2] - box[0]), (rows, box[3] - box[1])):
            # the cut line is 0.2 mm wide, half of it inside
            assert (span.stop - span.start) / PX_PER_MM + 0.2 == pytest.approx(size, abs=0.1)
        middle = np.array([columns.start + columns.stop, rows.start + rows.stop]) / 2 / PX_PER_MM
        across, along = middle - (16.0 + 178.0 / 2, 297.0 - 34.0 - 232.0)
        wanted = (box[0] + box[2] - outline[0] - outline[2]) / 2
        assert across == pytest.approx(wanted, abs=0.1)
        assert along == pytest.approx((box[1] + box[3]) / 2 - outline[1], abs=0.1)
