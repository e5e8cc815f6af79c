"""Drawing on a photograph: lines, words, words on a plate, and the PNG of it."""

from __future__ import annotations

import io
import zlib
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL import Image

Colour = tuple[int, int, int]  # sRGB, 8-bit
Point = tuple[float, float]  # px of the picture, y down
PAPER, INK = (250, 249, 246), (30, 30, 34)  # a panel's ground and its words
_SIZES_PX = (11, 13, 15, 20)  # of words [source: workshop-choice]


class Pen:
    """Draws on a picture, in its pixels.

    Args:
        picture: RGB; drawn upon.
    """

    def __init__(self, picture: Image.Image) -> None:
        from PIL import ImageDraw, ImageFont

        from livery.artwork.fonts import font_bytes

        font = font_bytes("text")
        self._draw = ImageDraw.Draw(picture)
        self._fonts = {size: ImageFont.truetype(io.BytesIO(font), size) for size in _SIZES_PX}

    def line(self, points: Sequence[Point], colour: Colour, width: int) -> None:
        """A line through points, ``width`` px wide."""
        self._draw.line(list(points), fill=colour, width=width)

    def outline(self, points: Sequence[Point], colour: Colour, width: int) -> None:
        """A closed line."""
        self.line([*points, points[0]], colour, width)

    def circle(self, x: float, y: float, radius: float, colour: Colour) -> None:
        """A circle round a place."""
        box = (x - radius, y - radius, x + radius, y + radius)
        self._draw.ellipse(box, outline=colour, width=2)

    def text(self, x: float, y: float, words: str, colour: Colour = INK, size: int = 13) -> None:
        """Words with their top left at a place; ``size``: 11, 13, 15 or 20 px."""
        self._draw.text((x, y), words, fill=colour, font=self._fonts[size])

    def tag(
        self, x: float, y: float, words: str, colour: Colour, size: int = 13, rim: int = 3
    ) -> None:
        """Words in the middle of a place, on a light plate.

        Args:
            x: the middle, px.
            y: likewise.
            words: on one line.
            colour: of the words.
            size: of the words, px.
            rim: of the plate to either side, px; one less above and below.
        """
        font = self._fonts[size]
        left, top, right, bottom = self._draw.textbbox((x, y), words, font=font, anchor="mm")
        plate = (left - rim, top - rim + 1, right + rim, bottom + rim - 1)
        self._draw.rectangle(plate, fill=PAPER)
        self._draw.text((x, y), words, fill=colour, font=font, anchor="mm")


def pack_png(picture: Image.Image) -> bytes:
    """A picture with a photograph in it as PNG.

    Noise has no repeats but of single bytes: looking for longer ones takes four times as long and
    saves a hundredth.
    """
    stream = io.BytesIO()
    picture.save(stream, "PNG", compress_type=zlib.Z_RLE)
    return stream.getvalue()
