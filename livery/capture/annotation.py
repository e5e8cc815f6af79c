"""The annotated picture: what was seen where, and whether it may be believed."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from livery.capture.model import Capture, Gate, PatchReading, Sample
from livery.capture.pen import INK, PAPER, Colour, Pen, Point, pack_png
from livery.capture.photograph import Photograph, read_photograph
from livery.colour import Floats

# Sizes and colours: [source: workshop-choice]
_LONGEST_PX, _SHORTEST_PX = 1600, 900  # longest side of the picture shown: most, least
_PANEL_PX = 470
_PANEL_RIM_PX = 16
_SMALL_PX = 22  # height of a region that a name would hide
_GOOD, _FAIR, _BAD = (32, 150, 84), (214, 140, 20), (205, 42, 48)
_MARK, _REGION = (20, 120, 220), (190, 40, 190)
_FAIR_DE00, _BAD_DE00 = 2.0, 4.0  # a patch's error above which its outline changes colour
_HEADLINE, _LINE = 40, 62  # characters that a line of the panel holds


class _Line(NamedTuple):
    """A line of the panel; ``step`` is the way to the next one, px."""

    words: str
    step: int
    colour: Colour = INK
    size: int = 13
    indent: int = 0


def annotate(photo: str | Path | Photograph, capture: Capture) -> bytes:
    """Draw a capture over its photograph.

    Markers and regions are outlined, each patch carries its leave-one-out ΔE00 (a cross when it
    was clipped). A panel at the right lists the photograph's gates, and those that a region fails,
    each with its number, limit and advice.

    Args:
        photo: the photograph's path, or the photograph already decoded.
        capture: what was measured in it.

    Returns:
        A PNG's bytes.

    Raises:
        PhotographError: the photograph cannot be read.
    """
    from PIL import Image

    photograph = photo if isinstance(photo, Photograph) else read_photograph(Path(photo))
    picture, scale = _shown(photograph)
    image = Image.fromarray(picture)
    _mark(_Overlay(Pen(image), scale), capture)
    size = (image.width + _PANEL_PX, max(image.height, _panel_height(capture)))
    canvas = Image.new("RGB", size, PAPER)
    canvas.paste(image, (0, 0))
    pen, y = Pen(canvas), 14
    for line in _panel(capture):
        x = image.width + _PANEL_RIM_PX + line.indent
        pen.text(x, y, line.words, line.colour, line.size)
        y += line.step
    return pack_png(canvas)


def _shown(photograph: Photograph) -> tuple[NDArray[np.uint8], float]:
    """The picture at a size to look at, shape (height, width, 3), and its scale."""
    import cv2

    longest = max(photograph.size_px)
    scale = min(1.0, _LONGEST_PX / longest)
    if longest < _SHORTEST_PX:
        scale = _SHORTEST_PX / longest
    width, height = (max(1, round(side * scale)) for side in photograph.size_px)
    way = cv2.INTER_AREA if scale < 1.0 else cv2.INTER_NEAREST
    small = cv2.resize(photograph.codes, (width, height), interpolation=way)
    eight = np.asarray(small, np.float64) * (255.0 / photograph.full_scale)
    return eight.astype(np.uint8), scale


class _Overlay:
    """Draws what is given in the photograph's pixels on a picture of it at another size.

    Args:
        pen: of that picture.
        scale: its size over the photograph's.
    """

    def __init__(self, pen: Pen, scale: float) -> None:
        self._pen, self._scale = pen, scale

    def _points(self, polygon: Floats) -> list[Point]:
        """Pixels of the photograph, shape (n, 2), on the picture."""
        shown = (polygon + 0.5) * self._scale - 0.5
        return [(float(x), float(y)) for x, y in shown]

    def outline(self, polygon: Floats, colour: Colour, width: int) -> None:
        """A closed line."""
        self._pen.outline(self._points(polygon), colour, width)

    def patch(self, patch: PatchReading) -> None:
        """A patch's outline and its error."""
        colour = _colour_of(patch)
        self.outline(patch.corners_px, colour, 1)
        x, y = self._points(patch.corners_px.mean(axis=0)[None])[0]
        if patch.clipped:
            a, b, c, d = self._points(patch.corners_px)
            self._pen.line([a, c], colour, 2)
            self._pen.line([b, d], colour, 2)
        elif patch.de00 is not None:
            self._tag(x, y, f"{patch.de00:.1f}", colour)

    def region(self, name: str, polygon: Floats, colour: Colour) -> None:
        """A region's outline and name; the name above where it would hide the region."""
        self.outline(polygon, colour, 3)
        x, y = self._points(polygon.mean(axis=0)[None])[0]
        heights = [height for _, height in self._points(polygon)]
        small = max(heights) - min(heights) < _SMALL_PX
        self._tag(x, min(heights) - _SMALL_PX / 2 if small else y, name, colour)

    def _tag(self, x: float, y: float, words: str, colour: Colour) -> None:
        self._pen.tag(x, y, words, colour, size=11, rim=2)


def _mark(overlay: _Overlay, capture: Capture) -> None:
    """What was seen, where it was seen."""
    if capture.corners_px is not None:
        overlay.outline(capture.corners_px, _MARK, 2)
    for _, corners in capture.trace.markers_px:
        overlay.outline(corners, _MARK, 3)
    for patch in capture.trace.patches:
        overlay.patch(patch)
    refused = capture.refused_regions
    for name, polygon in capture.trace.regions_px:
        overlay.region(name, polygon, _BAD if name in refused else _REGION)


def _colour_of(patch: PatchReading) -> Colour:
    if patch.clipped or patch.de00 is None or patch.de00 > _BAD_DE00:
        return _BAD
    return _FAIR if patch.de00 > _FAIR_DE00 else _GOOD


def _panel_height(capture: Capture) -> int:
    """Px that the panel's lines need at most, with some room below."""
    headline = len(textwrap.wrap(capture.headline, _HEADLINE))
    gates = sum(1 + len(textwrap.wrap(gate.advice, _LINE)) for gate in _listed(capture))
    return 24 + 20 * (6 + 2 * headline + gates) + 26 * len(capture.samples) + 40


def _panel(capture: Capture) -> Iterator[_Line]:
    """Headline, how the colour was modelled, gates, samples."""
    colour = _BAD if not capture.photo_ok else _GOOD if capture.ok else _FAIR
    for words in textwrap.wrap(capture.headline, _HEADLINE):
        yield _Line(words, 26, colour, 20)
    yield _Line("", 4)
    yield _Line(f"target {capture.target}" + ("" if capture.absolute else " (nominal values)"), 20)
    summary = capture.characterisation
    if summary is not None:
        yield _Line(summary.method, 20)
        errors = f"{summary.loo_mean:.2f} mean, {summary.loo_max:.2f} most"
        yield _Line(f"leave-one-out ΔE00 {errors}", 20)
    yield _Line("", 8)
    for gate in _listed(capture):
        colour = _GOOD if gate.ok else _BAD
        yield _Line(f"{'ok' if gate.ok else 'NO'}  {gate.figures}", 20, colour, 15)
        for words in textwrap.wrap(gate.advice, _LINE):
            yield _Line(words, 20, indent=14)
    yield _Line("", 8)
    for sample in capture.samples:
        yield _sample_line(sample)


def _sample_line(sample: Sample) -> _Line:
    if sample.withheld:
        return _Line(f"{sample.name}: withheld", 24, _BAD)
    lightness, a, b = sample.lab
    sd = math.sqrt(float(np.trace(sample.cov)) / 3.0)
    words = f"{sample.name}: L* {lightness:.1f}  a* {a:.1f}  b* {b:.1f}  (±{sd:.1f})"
    return _Line(words, 24)


def _listed(capture: Capture) -> list[Gate]:
    """The gates of the photograph, and those of its regions that are not passed."""
    return [gate for gate in capture.gates if not gate.ok or not gate.region]
