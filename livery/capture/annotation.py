"""The annotated picture: what was seen where, and whether it may be believed."""

from __future__ import annotations

import io
import math
from importlib import resources
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from livery.capture.model import Capture, Gate, PatchReading
from livery.capture.photograph import Photograph, read_photograph
from livery.capture.preview import pack_png

Floats = NDArray[np.float64]
_LONGEST_PX, _SHORTEST_PX = 1600, 900  # longest side of the picture shown [source: workshop-choice]
_PANEL_PX = 470
_SMALL_PX = 22  # a region that a name would hide
_GOOD, _FAIR, _BAD = (32, 150, 84), (214, 140, 20), (205, 42, 48)
_MARK, _REGION, _INK, _PAPER = (20, 120, 220), (190, 40, 190), (30, 30, 34), (250, 249, 246)
_FAIR_DE00, _BAD_DE00 = 2.0, 4.0  # colours of the patch errors [source: workshop-choice]


def annotate(photo: str | Path | Photograph, capture: Capture) -> bytes:
    """Draw a capture over its photograph.

    Markers and regions are outlined, each patch carries its leave-one-out ΔE00 (a cross when it
    was clipped), and a panel at the right lists every gate with its number, limit and advice.

    Args:
        photo: the photograph's path, or the photograph already decoded.
        capture: what was measured in it.

    Returns:
        A PNG's bytes.

    Raises:
        PhotographError: the photograph cannot be read.
    """
    from PIL import Image, ImageDraw

    photograph = photo if isinstance(photo, Photograph) else read_photograph(Path(photo))
    picture, scale = _shown(photograph)
    image = Image.fromarray(picture)
    _mark(_Pen(ImageDraw.Draw(image), scale), capture)
    size = (image.width + _PANEL_PX, max(image.height, _panel_height(capture)))
    canvas = Image.new("RGB", size, _PAPER)
    canvas.paste(image, (0, 0))
    _panel(_Pen(ImageDraw.Draw(canvas), 1.0), capture, image.width + 16)
    return pack_png(canvas)


def _mark(pen: _Pen, capture: Capture) -> None:
    """What was seen, where it was seen."""
    if capture.corners_px is not None:
        pen.outline(capture.corners_px, _MARK, 2)
    for _, corners in capture.trace.markers_px:
        pen.outline(corners, _MARK, 3)
    for patch in capture.trace.patches:
        pen.patch(patch)
    refused = capture.refused_regions
    for name, polygon in capture.trace.regions_px:
        pen.region(name, polygon, _BAD if name in refused else _REGION)


def _shown(photograph: Photograph) -> tuple[NDArray[np.uint8], float]:
    """The picture at a size to look at, and its scale."""
    import cv2

    longest = max(photograph.size_px)
    scale = min(1.0, _LONGEST_PX / longest)
    if longest < _SHORTEST_PX:
        scale = _SHORTEST_PX / longest
    size = tuple(max(1, round(side * scale)) for side in photograph.size_px)
    way = cv2.INTER_AREA if scale < 1.0 else cv2.INTER_NEAREST
    small = cv2.resize(photograph.codes, (size[0], size[1]), interpolation=way)
    eight = np.asarray(small, np.float64) * (255.0 / photograph.full_scale)
    return eight.astype(np.uint8), scale


def _panel_height(capture: Capture) -> int:
    lines = (
        6
        + 2 * len(_wrapped(capture.headline, 40))
        + sum(1 + len(_wrapped(gate.advice)) for gate in _listed(capture))
    )
    return 24 + 20 * lines + 26 * len(capture.samples) + 40


class _Pen:
    """Draws in the photograph's pixels on a picture of another size."""

    def __init__(self, draw, scale: float) -> None:  # type: ignore[no-untyped-def]  # lazy Pillow
        from PIL import ImageFont

        self.draw, self.scale = draw, scale
        font = (resources.files("livery.data") / "fonts" / "OpenSans-Regular.ttf").read_bytes()
        self._fonts = {
            size: ImageFont.truetype(io.BytesIO(font), size) for size in (11, 13, 15, 20)
        }

    def points(self, polygon: Floats) -> list[tuple[float, float]]:
        """Corners on the shown picture."""
        shown = (polygon + 0.5) * self.scale - 0.5
        return [(float(x), float(y)) for x, y in shown]

    def outline(self, polygon: Floats, colour: tuple[int, int, int], width: int) -> None:
        """A closed line."""
        points = self.points(polygon)
        self.draw.line([*points, points[0]], fill=colour, width=width)

    def text(
        self, x: float, y: float, words: str, colour: tuple[int, int, int] = _INK, size: int = 13
    ) -> None:
        """Words with their top left at a place."""
        self.draw.text((x, y), words, fill=colour, font=self._fonts[size])

    def tag(self, x: float, y: float, words: str, colour: tuple[int, int, int]) -> None:
        """Words in the middle of a place, on a light plate."""
        font = self._fonts[11]
        box = self.draw.textbbox((x, y), words, font=font, anchor="mm")
        self.draw.rectangle((box[0] - 2, box[1] - 1, box[2] + 2, box[3] + 1), fill=_PAPER)
        self.draw.text((x, y), words, fill=colour, font=font, anchor="mm")

    def patch(self, patch: PatchReading) -> None:
        """A patch's outline and its error."""
        colour = _colour_of(patch)
        self.outline(patch.corners_px, colour, 1)
        x, y = self.points(patch.corners_px.mean(axis=0)[None])[0]
        if patch.clipped:
            a, b, c, d = self.points(patch.corners_px)
            self.draw.line([a, c], fill=colour, width=2)
            self.draw.line([b, d], fill=colour, width=2)
        elif patch.de00 is not None:
            self.tag(x, y, f"{patch.de00:.1f}", colour)

    def region(self, name: str, polygon: Floats, colour: tuple[int, int, int]) -> None:
        """A region's outline and name; the name above where it would hide the region."""
        self.outline(polygon, colour, 3)
        x, y = self.points(polygon.mean(axis=0)[None])[0]
        heights = [height for _, height in self.points(polygon)]
        small = max(heights) - min(heights) < _SMALL_PX
        self.tag(x, min(heights) - _SMALL_PX / 2 if small else y, name, colour)


def _colour_of(patch: PatchReading) -> tuple[int, int, int]:
    if patch.clipped or patch.de00 is None or patch.de00 > _BAD_DE00:
        return _BAD
    return _FAIR if patch.de00 > _FAIR_DE00 else _GOOD


def _panel(pen: _Pen, capture: Capture, x: float) -> None:
    y = 14.0
    colour = _BAD if not capture.photo_ok else _GOOD if capture.ok else _FAIR
    for line in _wrapped(capture.headline, 40):
        pen.text(x, y, line, colour, 20)
        y += 26
    y += 4
    summary = capture.characterisation
    notes = [f"target {capture.target}" + ("" if capture.absolute else " (nominal values)")]
    if summary is not None:
        notes.append(summary.method)
        notes.append(f"leave-one-out ΔE00 {summary.loo_mean:.2f} mean, {summary.loo_max:.2f} most")
    for note in notes:
        pen.text(x, y, note)
        y += 20
    y += 8
    for gate in _listed(capture):
        pen.text(
            x, y, f"{'ok' if gate.ok else 'NO'}  {gate.figures}", _GOOD if gate.ok else _BAD, 15
        )
        y += 20
        for line in _wrapped(gate.advice):
            pen.text(x + 14, y, line)
            y += 20
    y += 8
    for sample in capture.samples:
        if sample.withheld:
            pen.text(x, y, f"{sample.name}: withheld", _BAD)
            y += 24
            continue
        lightness, a, b = sample.lab
        sd = math.sqrt(float(np.trace(sample.cov)) / 3.0)
        pen.text(x, y, f"{sample.name}: L* {lightness:.1f}  a* {a:.1f}  b* {b:.1f}  (±{sd:.1f})")
        y += 24


def _listed(capture: Capture) -> list[Gate]:
    """The gates of the photograph, and those of its regions that are not passed."""
    return [gate for gate in capture.gates if not gate.ok or not gate.region]


def _wrapped(words: str, width: int = 62) -> list[str]:
    import textwrap

    return textwrap.wrap(words, width)
